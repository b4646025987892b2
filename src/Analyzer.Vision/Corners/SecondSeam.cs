using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;

namespace Analyzer.Vision.Corners;

/// <summary>When the fitted sides and the stitched lines disagree by a millimetre or more, a seam where the lines want it is tried.</summary>
/// <remarks>A cloth's cut edge a few millimetres beyond the stitched ditch is the stronger seam of the two; the lines and their ends tell which is the block's.</remarks>
internal static class SecondSeam
{
    private const double FromMm = 1.0, ReachMm = 1.0, Pull = 0.8, BetterBy = 0.008;

    public static CornerFit Choose(Photo photo, EvidenceMap map, CornerFit fit, IntendedGrid grid)
    {
        (double X, double Y)[] corners = [.. fit.Corners.Select(map.ToSmall)];
        if (GridSight.Of(map, corners, grid) is not { } sight) return fit;
        double[] none = [0, 0, 0, 0], shifts = sight.BestShifts();
        if (shifts.Max(Math.Abs) < FromMm || sight.Contrast(shifts) < sight.Contrast(none) + BetterBy) return fit;
        if (PlaceReading.Moved(corners, grid.Size, shifts) is not { } moved) return fit;
        CornerFit? other = CornerFit.Of(photo.Bgr, [.. moved.Select(map.ToPhoto)], grid.Size, ReachMm, Pull);
        if (other is null || other.Sides.Any(s => s is null || s.Seen < FoundBlocks.LeastSeen || s.Strength < FoundBlocks.LeastStrength)) return fit;
        if (GridSight.Of(map, [.. other.Corners.Select(map.ToSmall)], grid) is not { } again) return fit;
        double before = sight.Contrast(none) + PlaceReading.EndsOf(sight, none), after = again.Contrast(none) + PlaceReading.EndsOf(again, none);
        return after > before + BetterBy ? other : fit;
    }
}
