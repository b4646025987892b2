using Analyzer.Core.Report;

namespace Analyzer.Reporting.Html;

/// <summary>Sample and crossing statistics of one report, mm. Places count alike, whatever line they are on.</summary>
internal sealed record DeviationSummary(int Samples, double RmsMm, double MedianMm, double P95Mm)
{
    public double WorstMm { get; private init; }

    public double WorstAlongMm { get; private init; }

    public string WorstLine { get; private init; } = "";

    public int NodesMeasured { get; private init; }

    public double? NodeMedianMm { get; private init; }

    public double? NodeP95Mm { get; private init; }

    public string WorstNode { get; private init; } = "";

    public double? WorstNodeMm { get; private init; }

    /// <summary>Standard uncertainty of place from all photo effects together, mm.</summary>
    public double? PlaceUMm { get; private init; }

    public static DeviationSummary Of(AccuracyReport report)
    {
        double[] sizes = [.. report.Lines.SelectMany(l => l.Samples).Select(s => Math.Abs(s.DeviationMm)).Order()];
        double[] radial = [.. report.Intersections.Where(n => n.RadialMm.Value is not null).Select(n => n.RadialMm.Value!.Value).Order()];
        IntersectionReport? worstNode = report.Intersections.Where(n => n.RadialMm.Value is not null).MaxBy(n => n.RadialMm.Value);
        LineReport? worstLine = report.Lines.Where(l => l.Samples.Count > 0).MaxBy(l => l.Samples.Max(s => Math.Abs(s.DeviationMm)));
        LineSample? worst = worstLine?.Samples.MaxBy(s => Math.Abs(s.DeviationMm));
        IReadOnlyDictionary<string, double>? place = report.ErrorBudget?.PlaceUMm;
        double rms = sizes.Length > 0 ? Math.Sqrt(sizes.Average(d => d * d)) : 0;
        return new DeviationSummary(sizes.Length, rms, Quantile(sizes, 0.5) ?? 0, Quantile(sizes, 0.95) ?? 0)
        {
            WorstMm = worst?.DeviationMm ?? 0,
            WorstAlongMm = worst?.AlongMm ?? 0,
            WorstLine = worstLine?.Id ?? "",
            NodesMeasured = radial.Length,
            NodeMedianMm = Quantile(radial, 0.5),
            NodeP95Mm = Quantile(radial, 0.95),
            WorstNode = worstNode?.Id ?? "",
            WorstNodeMm = worstNode?.RadialMm.Value,
            PlaceUMm = place is { Count: > 0 } ? Math.Sqrt(place.Values.Sum(v => v * v)) : null,
        };
    }

    /// <summary>Quantile by linear interpolation between order statistics; null of nothing.</summary>
    public static double? Quantile(IReadOnlyList<double> sorted, double p)
    {
        if (sorted.Count == 0) return null;
        double at = p * (sorted.Count - 1);
        int low = (int)Math.Floor(at), high = Math.Min(low + 1, sorted.Count - 1);
        return sorted[low] + (at - low) * (sorted[high] - sorted[low]);
    }
}
