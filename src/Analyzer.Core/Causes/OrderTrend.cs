using Analyzer.Core.Statistics;

namespace Analyzer.Core.Causes;

/// <summary>Do later lines come out worse (tiring) or better (warming up)?</summary>
/// <remarks>Mann-Kendall on the logarithm of each line's own r.m.s., pairs within a family only (families are stitched one after the other and differ anyway).</remarks>
/// <param name="P">Two-sided chance of so strong an order without any trend.</param>
/// <param name="PercentPerTenLines">Change of the r.m.s. over ten lines, percent (Theil-Sen).</param>
public sealed record OrderTrend(int Lines, double P, double PercentPerTenLines, string PlainWords)
{
    private const int FewestLines = 8;

    internal static OrderTrend? Of(IReadOnlyList<CauseAnalysis.LineEnergy> energies, IReadOnlyList<string> stitchedOrder)
    {
        if (stitchedOrder.Count == 0) return null;
        var place = stitchedOrder.Select((id, i) => (id, i)).GroupBy(p => p.id).ToDictionary(g => g.Key, g => (double)g.First().i);
        var rows = energies.Where(e => place.ContainsKey(e.Line.Trace.Line.Id))
            .Select(e => (e.Line.Trace.Line.Family, At: place[e.Line.Trace.Line.Id], Log: 0.5 * Math.Log(Math.Max(1e-6, e.OwnMeanSquare)))).ToList();
        if (rows.Count < FewestLines) return null;
        RankTrend trend = RankTrend.OfStrata([.. rows.GroupBy(r => r.Family)
            .Select(g => ((IReadOnlyList<double>)[.. g.Select(r => r.At)], (IReadOnlyList<double>)[.. g.Select(r => r.Log)]))]);
        double percent = 100 * (Math.Exp(10 * trend.Slope) - 1);
        string words = trend.P > 0.05
            ? "Early and late lines are equally good, as far as this block can tell."
            : trend.Slope > 0
                ? string.Create(System.Globalization.CultureInfo.InvariantCulture, $"Later lines are worse: about {percent:0} % more wobble for every ten lines. A short break half-way may pay.")
                : string.Create(System.Globalization.CultureInfo.InvariantCulture, $"Later lines are better: about {-percent:0} % less wobble for every ten lines. A few warm-up lines on a scrap would help the first ones.");
        return new OrderTrend(rows.Count, trend.P, percent, words);
    }
}
