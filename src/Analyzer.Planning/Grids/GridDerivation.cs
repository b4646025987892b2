using Analyzer.Core.Pattern;

namespace Analyzer.Planning.Grids;

/// <summary>From diamonds to triangles by a line through the middle of every diamond, and back.</summary>
public static class GridDerivation
{
    /// <summary>
    /// Two slanting families, mirror images of each other, and one line through the middle of every diamond: horizontal, or upright.
    /// Null when the grid is not two mirrored families.
    /// </summary>
    public static IReadOnlyList<LineFamily>? AddMiddleLines(IReadOnlyList<LineFamily> families, bool upright = false)
    {
        if (families.Count != 2) return null;
        LineFamily a = families[0], b = families[1];
        if (Math.Abs(a.AngleDeg + b.AngleDeg) > 1e-9 || Math.Abs(a.SpacingMm - b.SpacingMm) > 1e-9 || a.Through != b.Through) return null;
        if (Math.Abs(Math.Sin(2 * a.AngleDeg * Math.PI / 180)) < 0.1) return null;
        double t = Math.Abs(a.AngleDeg) * Math.PI / 180;
        double pitch = a.SpacingMm / (2 * Math.Abs(upright ? Math.Sin(t) : Math.Cos(t)));
        return [a, b, new LineFamily(upright ? 90 : 0, pitch, a.Through)];
    }

    /// <summary>The coarser grid of diamonds left when the horizontal (else the upright, else the last) family of three is not sewn; null below three.</summary>
    public static IReadOnlyList<LineFamily>? DropMiddleLines(IReadOnlyList<LineFamily> families)
    {
        if (families.Count < 3) return null;
        int drop = Enumerable.Range(0, families.Count).FirstOrDefault(i => Math.Abs(families[i].AlongY) < 1e-6, -1);
        if (drop < 0) drop = Enumerable.Range(0, families.Count).FirstOrDefault(i => Math.Abs(families[i].AlongX) < 1e-6, families.Count - 1);
        return [.. families.Where((_, i) => i != drop)];
    }
}
