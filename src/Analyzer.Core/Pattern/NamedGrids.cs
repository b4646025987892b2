using Analyzer.Core.Geometry;
using Analyzer.Core.Units;

namespace Analyzer.Core.Pattern;

/// <summary>The patterns that have a name on the command line. Every family passes through the block's bottom-left corner.</summary>
public static class NamedGrids
{
    /// <summary>Names with what they mean, for help texts.</summary>
    public static IReadOnlyList<(string Name, string Meaning)> All { get; } =
    [
        ("square", "lines across and down (0 and 90 degrees)"),
        ("diamond", "on point: +45 and -45 degrees; diamond60 and the like for another angle"),
        ("triangle", "equilateral: +60, -60 and 0 degrees, one spacing"),
        ("triangle45", "+45 and -45 degrees, and horizontals through the middle of every X"),
    ];

    /// <summary>The families of a named pattern with the given line spacing, or null when the name is unknown.</summary>
    /// <remarks>For triangle45 the spacing is that of the diagonals; the horizontals lie spacing/√2 apart (row pitch d/(2 cos 45°)).</remarks>
    public static IReadOnlyList<LineFamily>? Families(string name, Length spacing, BlockSize size)
    {
        var corner = new BlockPoint(0, size.HeightMm);
        double d = spacing.Millimetres;
        LineFamily Family(double angleDeg, double spacingMm) => new(angleDeg, spacingMm, corner);
        string lower = name.Trim().ToLowerInvariant();
        if (lower == "square") return [Family(0, d), Family(90, d)];
        if (lower == "triangle") return [Family(60, d), Family(-60, d), Family(0, d)];
        if (lower == "triangle45") return [Family(45, d), Family(-45, d), Family(0, d / Math.Sqrt(2))];
        if (lower == "diamond") return [Family(45, d), Family(-45, d)];
        if (lower.StartsWith("diamond", StringComparison.Ordinal) &&
            double.TryParse(lower["diamond".Length..], System.Globalization.NumberStyles.Float, System.Globalization.CultureInfo.InvariantCulture, out double angle) &&
            angle is >= 10 and <= 80)
            return [Family(angle, d), Family(-angle, d)];
        return null;
    }
}
