using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;

namespace Analyzer.Vision.Corners;

/// <summary>When the fitted sides and the stitched lines disagree by a millimetre or more, a seam where the lines want it is tried.</summary>
/// <remarks>A cloth's cut edge a few millimetres beyond the stitched ditch is the stronger seam of the two; the lines and their ends tell which is the block's.</remarks>
internal static class SecondSeam
{
    private const double FromMm = 1.0, BetterBy = 0.008, EndsWeight = 0.5;

    /// <summary>How far from where the lines want a side its seam is looked for (mm), and what a millimetre of distance costs: the nearer look keeps off a strong edge close by.</summary>
    private static readonly (double ReachMm, double Pull)[] Looks = [(1.0, 0.8), (0.7, 1.6)];

    /// <summary>A ditch in cloth of one colour is fainter than the cloth's edge beside it: where the lines ask for it, half the strength is enough.</summary>
    private const double LeastStrength = FoundBlocks.LeastStrength / 2;

    public static CornerFit Choose(Photo photo, EvidenceMap map, CornerFit fit, IntendedGrid grid)
    {
        (double X, double Y)[] corners = [.. fit.Corners.Select(map.ToSmall)];
        if (GridSight.Of(map, corners, grid) is not { } sight) return fit;
        double[] none = [0, 0, 0, 0], shifts = sight.BestShifts();
        if (shifts.Max(Math.Abs) < FromMm || sight.Contrast(shifts) < sight.Contrast(none) + BetterBy) return fit;
        if (PlaceReading.Moved(corners, grid.Size, shifts) is not { } moved) return fit;
        (CornerFit best, double score) = (fit, Score(sight) + BetterBy);
        foreach ((double reachMm, double pull) in Looks)
        {
            CornerFit? other = CornerFit.Of(photo.Bgr, [.. moved.Select(map.ToPhoto)], grid.Size, reachMm, pull);
            if (other is null || other.Sides.Any(s => s is null || s.Seen < FoundBlocks.LeastSeen || s.Strength < LeastStrength)) continue;
            if (GridSight.Of(map, [.. other.Corners.Select(map.ToSmall)], grid) is { } again && Score(again) > score) (best, score) = (other, Score(again));
        }
        return best;

        double Score(GridSight seen) => seen.Contrast(none) + EndsWeight * PlaceReading.EndsOf(seen, none);
    }
}
