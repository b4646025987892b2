using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Causes;

/// <summary>A straight line of stitching found in the block, before anyone says which intended line it is.</summary>
/// <param name="UMm">Standard uncertainty of its place across, mm.</param>
public sealed record FoundLine(BlockPoint From, BlockPoint To, double UMm = 0.1)
{
    public double LengthMm => From.DistanceTo(To);

    public BlockPoint Middle => new((From.Xmm + To.Xmm) / 2, (From.Ymm + To.Ymm) / 2);

    /// <summary>Direction, degrees counter-clockwise as seen, in -90 (not included) to 90.</summary>
    public double AngleDeg => FittedFamily.Fold(Math.Atan2(From.Ymm - To.Ymm, To.Xmm - From.Xmm) * 180 / Math.PI);
}

/// <summary>One family of a fitted regular grid.</summary>
/// <param name="AngleDeg">Direction, degrees, -90 (not included) to 90.</param>
/// <param name="SpacingMm">Distance between neighbouring lines; null with fewer than three lines or where they are not regular.</param>
/// <param name="Through">A point that one of its lines passes through, near the middle of the block.</param>
/// <param name="PlaceUMm">Standard uncertainty of that line's place across, mm.</param>
/// <param name="RmsMm">Scatter of the found lines about the regular grid, mm.</param>
public sealed record FittedFamily(
    double AngleDeg, double AngleUDeg, double? SpacingMm, double? SpacingUMm, BlockPoint Through, double PlaceUMm, double RmsMm, IReadOnlyList<FoundLine> Lines)
{
    /// <summary>An angle of an undirected line in -90 (not included) to 90 degrees.</summary>
    public static double Fold(double angleDeg)
    {
        double folded = angleDeg - 180 * Math.Round(angleDeg / 180);
        return folded <= -90 ? folded + 180 : folded;
    }

    /// <summary>As an intended family, or null where the spacing is not known.</summary>
    public LineFamily? ToFamily() => SpacingMm is { } spacing and >= 2 and <= 1500 ? new LineFamily(AngleDeg, spacing, Through) : null;
}

/// <summary>The regular grid that found lines fit best.</summary>
public sealed record FittedGrid(IReadOnlyList<FittedFamily> Families)
{
    /// <summary>Families with a spacing, to measure against when the pattern is not known; null where none has one.</summary>
    public IntendedGrid? ToGrid(BlockSize size)
    {
        LineFamily[] families = [.. Families.Select(f => f.ToFamily()).OfType<LineFamily>()];
        return families.Length is > 0 and <= 6 ? new IntendedGrid(size, families) : null;
    }
}
