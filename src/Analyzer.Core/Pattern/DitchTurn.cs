using Analyzer.Core.Geometry;

namespace Analyzer.Core.Pattern;

/// <summary>A place at the ditch where one intended line comes in and another goes out, as a ball bounces off a cushion.</summary>
/// <param name="AtEndOfA">Whether it is the To end of A that lies there; else its From end.</param>
/// <param name="At">Where both lines meet the block's edge.</param>
/// <param name="AngleDeg">Angle between the two lines inside the block, degrees.</param>
public sealed record DitchTurn(GridLine A, bool AtEndOfA, GridLine B, bool AtEndOfB, BlockPoint At, double AngleDeg)
{
    /// <summary>How much the two lines may differ in steepness (cosine against the edge's normal) and still be a bounce.</summary>
    private const double AlikeCosine = 0.35;

    /// <summary>Sharper or blunter turns than these are no bounce that can be told from straight lines, degrees.</summary>
    private const double SharpestDeg = 30, BluntestDeg = 150;

    /// <summary>Every bounce of the grid.</summary>
    public static IReadOnlyList<DitchTurn> Of(IntendedGrid grid)
    {
        (GridLine Line, bool AtEnd, BlockPoint At, double X, double Y)[] ends = [.. grid.Lines.Select(line => End(line, false)), .. grid.Lines.Select(line => End(line, true))];
        var turns = new List<DitchTurn>();
        for (int i = 0; i < ends.Length; i++)
            for (int j = i + 1; j < ends.Length; j++)
            {
                if (ends[i].Line.Family == ends[j].Line.Family || ends[i].At.DistanceTo(ends[j].At) > IntendedGrid.SamePointMm) continue;
                if (!Bounces(grid.Size, ends[i].At, (ends[i].X, ends[i].Y), (ends[j].X, ends[j].Y))) continue;
                double angle = Math.Acos(Math.Clamp(ends[i].X * ends[j].X + ends[i].Y * ends[j].Y, -1, 1)) * 180 / Math.PI;
                if (angle is < SharpestDeg or > BluntestDeg) continue;
                turns.Add(new DitchTurn(ends[i].Line, ends[i].AtEnd, ends[j].Line, ends[j].AtEnd, ends[i].At, angle));
            }
        return turns;
    }

    /// <summary>One end of a line, with the direction from there into the block.</summary>
    private static (GridLine Line, bool AtEnd, BlockPoint At, double X, double Y) End(GridLine line, bool atEnd)
    {
        (BlockPoint at, BlockPoint other) = atEnd ? (line.To, line.From) : (line.From, line.To);
        return (line, atEnd, at, (other.Xmm - at.Xmm) / line.LengthMm, (other.Ymm - at.Ymm) / line.LengthMm);
    }

    /// <summary>Equally steep against the edge, and on either side of its normal.</summary>
    private static bool Bounces(BlockSize size, BlockPoint at, (double X, double Y) a, (double X, double Y) b)
    {
        double[] gaps = [at.Xmm, size.WidthMm - at.Xmm, at.Ymm, size.HeightMm - at.Ymm];
        (double nx, double ny) = Array.IndexOf(gaps, gaps.Min()) switch { 0 => (1.0, 0.0), 1 => (-1, 0), 2 => (0, 1), _ => (0, -1) };
        double steepA = a.X * nx + a.Y * ny, steepB = b.X * nx + b.Y * ny, sideA = a.X * ny - a.Y * nx, sideB = b.X * ny - b.Y * nx;
        return steepA > 0 && steepB > 0 && Math.Abs(steepA - steepB) < AlikeCosine && sideA * sideB < 0;
    }
}
