using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;

namespace Analyzer.Vision.Corners;

/// <summary>Draws corners that were marked by hand to the true seam.</summary>
public static class CornerRefiner
{
    /// <summary>Marks may be off by this share of the block's longer side.</summary>
    public const double MostOffShare = 0.02;

    /// <summary>Energy that one millimetre of distance costs.</summary>
    private const double PullPerMm = 0.12;

    private const string TooFar = "the seams near the marked corners lie farther from them than marks are usually off";

    /// <summary>The block with refined corners; confidence is low where a side shows no seam near the mark or the seam lies farther off than marks may.</summary>
    public static FoundBlock Refine(Photo photo, BlockCorners marked, IntendedGrid grid)
    {
        BlockSize size = grid.Size;
        double reach = 0.8 + MostOffShare * Math.Max(size.WidthMm, size.HeightMm);
        // The whole photo tells more than what lies near the marks: where the block is found without them, and they agree, that is it.
        EvidenceMap map = EvidenceMap.OfWhole(photo);
        if (BlockFinder.Find(photo, grid, map, out _) is { } found && found.Confidence != CornerConfidence.Low && FarthestMm(found.Corners, marked, size) <= reach) return found;
        CornerFit? wide = CornerFit.Of(photo.Bgr, marked.ToArray(), size, reach, PullPerMm);
        if (wide is null) return Unchanged(marked);
        // Two seams may lie within reach (the cloth's edge and the stitched edge): the stitched lines tell which is the block's.
        PlaceReading? place = Place(map, wide.Corners, grid) is { } quad ? PlaceReading.Of(map, quad, grid, mayTurn: false).MaxBy(r => r.Score) : null;
        bool moved = place is { IsMoved: true } && place.Shifts.Max(Math.Abs) <= 1.5 * reach;
        FoundBlock? refined = OnSeams(photo, map, moved ? [.. place!.Corners.Select(map.ToPhoto)] : wide.Corners, grid, BlockFinder.ChoiceReachMm);
        if (refined is { Confidence: not CornerConfidence.Low } && FarthestMm(refined.Corners, marked, size) <= reach) return refined;
        // The strongest seams within reach led astray (a cloth's cut edge beyond a faint ditch): all of them about the marks are weighed.
        if (OnSeams(photo, map, marked.ToArray(), grid, Math.Max(reach, BlockFinder.ChoiceReachMm)) is { } near && FarthestMm(near.Corners, marked, size) <= reach &&
            (refined is null || near.Confidence > refined.Confidence || FarthestMm(refined.Corners, marked, size) > reach)) return near;
        if (refined is null) return Unchanged(marked);
        return FarthestMm(refined.Corners, marked, size) <= reach ? refined : refined with { Confidence = CornerConfidence.Low, Doubts = [.. refined.Doubts, TooFar] };
    }

    /// <summary>The block on the seams that lie about corners asked for; null where there are none that are seen along most of every side, or none that its stitched lines fit.</summary>
    public static FoundBlock? About(Photo photo, PhotoPoint[] asked, IntendedGrid grid)
    {
        // Where a wrong seam was taken there it was seen along 0.66 and 0.70 of a side, the right ones along 0.87 and more.
        const double withinMm = 1.3, farthestMm = 1.8, mostOfASide = 0.8;
        FoundBlock? found = OnSeams(photo, EvidenceMap.OfWhole(photo), asked, grid, withinMm);
        return found is { Confidence: not CornerConfidence.Low } && found.Sides.All(s => s.SeenShare >= mostOfASide) && FarthestMm(found.Corners, BlockCorners.FromArray(asked, 0), grid.Size) <= farthestMm ? found : null;
    }

    private static FoundBlock? OnSeams(Photo photo, EvidenceMap map, PhotoPoint[] rough, IntendedGrid grid, double withinMm)
    {
        ChosenSeams chosen = SeamChoice.Choose(photo.Bgr, map, rough, grid, withinMm);
        CornerFit? fine = CornerFit.Of(photo.Bgr, chosen.Corners, grid.Size, 0.8, 0.3, bowsMm: chosen.BowsMm, clearMm: chosen.ClearMm);
        return fine is null ? null : CornerTrust.Check(FoundBlocks.From(fine, grid.Size, 0, [], []), map, grid);
    }

    /// <summary>Largest distance of found corners from the marks, mm of the block as marked.</summary>
    private static double FarthestMm(BlockCorners found, BlockCorners marked, BlockSize size)
    {
        try
        {
            Homography block = Homography.FromFourPoints([.. marked.ToArray().Select(p => (p.X, p.Y))], [.. size.Corners().Select(p => (p.Xmm, p.Ymm))]);
            return found.ToArray().Zip(size.Corners()).Max(pair =>
            {
                (double x, double y) = block.Map(pair.First.X, pair.First.Y);
                return Math.Sqrt((x - pair.Second.Xmm) * (x - pair.Second.Xmm) + (y - pair.Second.Ymm) * (y - pair.Second.Ymm));
            });
        }
        catch (ArgumentException)
        {
            return double.PositiveInfinity;
        }
    }

    private static Quad? Place(EvidenceMap map, PhotoPoint[] corners, IntendedGrid grid)
    {
        (double X, double Y)[] at = [.. corners.Select(map.ToSmall)];
        double area = Math.Abs(((at[2].X - at[0].X) * (at[3].Y - at[1].Y)) - ((at[3].X - at[1].X) * (at[2].Y - at[0].Y))) / 2;
        return area < 100 ? null : new Quad { At = at, AreaShare = area / ((double)map.Width * map.Height), ShapeMisfit = ShapeCheck.Misfit(at, grid.Size.WidthMm / grid.Size.HeightMm, map, null) };
    }

    private static FoundBlock Unchanged(BlockCorners marked)
    {
        double u = marked.UncertaintyPx > 0 ? marked.UncertaintyPx : 5;
        var covariance = new double[8, 8];
        for (int i = 0; i < 8; i++) covariance[i, i] = u * u;
        return new FoundBlock
        {
            Corners = marked with { UncertaintyPx = u },
            CovariancePx = covariance,
            Confidence = CornerConfidence.Low,
            Doubts = ["the marked corners do not make a block that can be measured; mark the four corners of the block again"],
        };
    }
}
