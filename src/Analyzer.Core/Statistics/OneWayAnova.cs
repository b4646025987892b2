namespace Analyzer.Core.Statistics;

/// <summary>One-way analysis of variance: do groups (families, blocks, days) differ more than their members scatter?</summary>
/// <remarks>ISO 5725-2 repeatability and reproducibility follow from the two mean squares. Checked against NIST StRD SiRstv and SmLs.</remarks>
public sealed record OneWayAnova(double BetweenSs, int BetweenDf, double WithinSs, int WithinDf)
{
    public double F => BetweenSs / BetweenDf / (WithinSs / WithinDf);

    public double RSquared => BetweenSs / (BetweenSs + WithinSs);

    public double ResidualSd => Math.Sqrt(WithinSs / WithinDf);

    public double P => SpecialFunctions.FUpperP(F, BetweenDf, WithinDf);

    public static OneWayAnova Of(IReadOnlyList<IReadOnlyList<double>> groups)
    {
        // A common value is taken off first, so that constant leading digits cost nothing.
        double origin = Moments.Mean([.. groups.SelectMany(g => g)]);
        double[] means = [.. groups.Select(g => Moments.Mean([.. g.Select(v => v - origin)]))];
        double grand = groups.Select((g, i) => g.Count * means[i]).Sum() / groups.Sum(g => g.Count);
        double between = groups.Select((g, i) => g.Count * (means[i] - grand) * (means[i] - grand)).Sum();
        double within = groups.Select((g, i) => g.Sum(v => (v - origin - means[i]) * (v - origin - means[i]))).Sum();
        return new OneWayAnova(between, groups.Count - 1, within, groups.Sum(g => g.Count) - groups.Count);
    }
}
