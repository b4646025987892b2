using System.Diagnostics;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Corners;

/// <summary>Finds the finished block in a photo: four long seams that make the right shape and hold the intended grid.</summary>
/// <remarks>
/// Cues, scored together: seams of change of cloth, furrow or thread by Hough; a shape a camera can make of the block's rectangle;
/// stitched lines on the intended grid inside it; stitching that ends at its sides; one cloth within them and another beyond. The best places are looked at closely
/// (<see cref="PlaceReading"/>), the winner's sides are drawn to the seam, and the outcome is checked once more (<see cref="CornerTrust"/>).
/// </remarks>
public static class BlockFinder
{
    /// <summary>Places that are looked at closely.</summary>
    private const int ClosePlaces = 14;

    /// <summary>Share of the photo's width and height that the second look takes from the middle, where people put the block.</summary>
    private const double MiddleShare = 0.62;

    /// <summary>Places nearer than this share of the block's side are one place.</summary>
    private const double SamePlaceShare = 0.03;

    /// <summary>Seams this far from a place, at either end of a side, are weighed against each other, mm.</summary>
    internal const double ChoiceReachMm = 5;

    /// <summary>An outline farther off than this is another one, mm.</summary>
    private const double NestedFromMm = 1.2;

    /// <summary>The best place, or null when nothing in the photo could be the block.</summary>
    public static FoundBlock? Find(Photo photo, IntendedGrid grid) => Find(photo, grid, out _);

    internal static FoundBlock? Find(Photo photo, IntendedGrid grid, out string stages) => Find(photo, grid, null, out stages);

    /// <param name="known">The evidence of the whole photo, where it was made before.</param>
    internal static FoundBlock? Find(Photo photo, IntendedGrid grid, EvidenceMap? known, out string stages)
    {
        var clock = Stopwatch.StartNew();
        EvidenceMap map = known ?? EvidenceMap.OfWhole(photo);
        List<PlaceReading> places = Places(photo, grid, map, clock, out stages);
        FoundBlock? whole = Decide(photo, grid, map, places, clock, ref stages);
        if (IsSure(whole)) return whole;
        int w = (int)(MiddleShare * photo.WidthPx), h = (int)(MiddleShare * photo.HeightPx);
        EvidenceMap part = EvidenceMap.Of(photo, new Rect((photo.WidthPx - w) / 2, (photo.HeightPx - h) / 2, w, h));
        FoundBlock? middle = Decide(photo, grid, part, Places(photo, grid, part, clock, out string more), clock, ref more);
        stages += more;
        FoundBlock? best = Better(whole, middle);
        if (IsSure(best)) return best;
        // Where its sides are not among the seams, the stitched lines may still tell where the block lies.
        places.AddRange(Close(map, PlaceSearch.ByLines(map, grid, photo.Metadata.FocalLength35Mm), grid));
        places.Sort((p, q) => q.Score.CompareTo(p.Score));
        return Better(best, Decide(photo, grid, map, places, clock, ref stages) is { } told ? CornerTrust.ByLines(told) : null);
    }

    private static bool IsSure(FoundBlock? found) => found is not null && found.Confidence != CornerConfidence.Low;

    private static FoundBlock? Better(FoundBlock? whole, FoundBlock? middle)
    {
        if (whole is null || middle is null) return whole ?? middle;
        // A part of the block may look like a block: the middle must be surer and not worse.
        double lead = middle.Scores.GetValueOrDefault("score") - whole.Scores.GetValueOrDefault("score");
        return lead > 0.1 || (middle.Confidence > whole.Confidence && lead > -0.05) ? middle : whole;
    }

    private static List<PlaceReading> Places(Photo photo, IntendedGrid grid, EvidenceMap map, Stopwatch clock, out string stages)
    {
        stages = $"evidence {clock.ElapsedMilliseconds} ";
        List<Quad> ranked = PlaceSearch.Rank(map, grid, photo.Metadata.FocalLength35Mm);
        stages += $"ranked {clock.ElapsedMilliseconds} ";
        List<PlaceReading> places = Close(map, ranked, grid);
        stages += $"close {clock.ElapsedMilliseconds} ";
        return places;
    }

    /// <summary>The best place's sides drawn to the seams, and how sure it is.</summary>
    private static FoundBlock? Decide(Photo photo, IntendedGrid grid, EvidenceMap map, List<PlaceReading> places, Stopwatch clock, ref string stages)
    {
        if (places.Count == 0) return null;
        PlaceReading best = places[0];
        BlockSize size = grid.Size;
        ChosenSeams chosen = SeamChoice.Choose(photo.Bgr, map, ToPhoto(map, best.Corners), grid, ChoiceReachMm);
        CornerFit? fit = CornerFit.Of(photo.Bgr, chosen.Corners, size, 0.8, 0.3, bowsMm: chosen.BowsMm, clearMm: chosen.ClearMm);
        stages += $"fitted {clock.ElapsedMilliseconds} ms ";
        if (fit is null) return null;
        List<PlaceReading> others = [.. places.Skip(1).Where(p => p.DistanceTo(best) > SamePlaceShare * best.SidePx)];
        double lead = others.Count == 0 ? 1 : best.Score - others[0].Score;
        FoundBlock found = FoundBlocks.From(fit, size, best.Quad.QuarterTurns, [.. others.Take(5).Select(p => BlockCorners.FromArray(ToPhoto(map, p.Corners), map.Scale))], []);
        return CornerTrust.Judge(found, map, grid, best, lead, NearLead(places, size), chosen.Lead);
    }

    /// <summary>By how much the best leads an outline that lies a few millimetres away from it (the cloth's edge, a binding's inner side).</summary>
    private static double NearLead(List<PlaceReading> places, BlockSize size)
    {
        PlaceReading best = places[0];
        double pxPerMm = best.SidePx / Math.Sqrt(size.WidthMm * size.HeightMm);
        PlaceReading? near = places.Skip(1).FirstOrDefault(p => p.DistanceTo(best) is double d && d > NestedFromMm * pxPerMm && d <= SamePlaceShare * best.SidePx);
        return near is null ? 1 : best.Score - near.Score;
    }

    /// <summary>The best places, each as seen and, where the stitched lines say so, with its sides moved; best first.</summary>
    private static List<PlaceReading> Close(EvidenceMap map, List<Quad> ranked, IntendedGrid grid)
    {
        var few = new List<Quad>();
        foreach (Quad quad in ranked)
        {
            if (few.Count == ClosePlaces) break;
            double side = Math.Sqrt(quad.AreaShare * map.Width * map.Height);
            if (few.All(k => k.DistanceTo(quad) > 0.5 * SamePlaceShare * side)) few.Add(quad);
        }
        var readings = new List<PlaceReading>();
        object gate = new();
        Parallel.ForEach(few, quad =>
        {
            List<PlaceReading> mine = PlaceReading.Of(map, quad, grid);
            lock (gate) readings.AddRange(mine);
        });
        readings.Sort((p, q) => q.Score.CompareTo(p.Score));
        return readings;
    }

    private static PhotoPoint[] ToPhoto(EvidenceMap map, (double X, double Y)[] corners) => [.. corners.Select(map.ToPhoto)];
}
