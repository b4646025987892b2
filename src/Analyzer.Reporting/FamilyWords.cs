using System.Globalization;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;

namespace Analyzer.Reporting;

/// <summary>Names of line families in plain words: "A, across", "B, down", "C, rising 60°".</summary>
internal static class FamilyWords
{
    public static string Name(AccuracyReport report, int family)
    {
        string letter = "Family " + IntendedGrid.FamilyLetter(family);
        return report.Grid?.Families.FirstOrDefault(f => f.Family == family) is { } info ? $"{letter}, {Direction(info.AngleDeg)}" : letter;
    }

    public static string Direction(double angleDeg)
    {
        double folded = angleDeg - 180 * Math.Round(angleDeg / 180);
        if (Math.Abs(folded) < 0.5) return "across";
        if (Math.Abs(folded) > 89.5) return "up and down";
        return string.Create(CultureInfo.InvariantCulture, $"{(folded > 0 ? "rising" : "falling")} {Math.Abs(folded):0.#}°");
    }
}
