using Analyzer.Core.Report;

namespace Analyzer.Pipeline;

/// <summary>Adds what is not known of the lens to the uncertainty of every place.</summary>
internal static class LensShare
{
    /// <summary>Offsets and crossings, in squares (JCGM 100, 5.1.2); shape is told against each line's own reference line and hardly moves.</summary>
    public static AccuracyReport Carry(AccuracyReport report, double lensUMm)
    {
        if (!(lensUMm > 0)) return report;
        MeasuredValue More(MeasuredValue v) => v.U is { } u ? v with { U = LineDeviations.Round(Math.Sqrt((u * u) + (lensUMm * lensUMm))) } : v;
        ErrorBudget? budget = report.ErrorBudget is { } b ? b with { PlaceUMm = new Dictionary<string, double>(b.PlaceUMm) { ["lens"] = LineDeviations.Round(lensUMm) } } : null;
        return report with
        {
            Lines = [.. report.Lines.Select(l => l with { OffsetMm = More(l.OffsetMm) })],
            Intersections = [.. report.Intersections.Select(n => n with { RadialMm = More(n.RadialMm) })],
            ErrorBudget = budget,
        };
    }
}
