using Analyzer.Core.Statistics;

namespace Analyzer.Practice.Statistics;

/// <summary>Repeatability and reproducibility (ISO 5725-2 formulas): one lab or day against several, equal counts in each.</summary>
public sealed record Repeatability(double RepeatabilitySd, double BetweenVariance, double ReproducibilitySd)
{
    public double RepeatabilityLimit => 2.8 * RepeatabilitySd;

    public double ReproducibilityLimit => 2.8 * ReproducibilitySd;

    public static Repeatability Of(IReadOnlyList<IReadOnlyList<double>> groups)
    {
        OneWayAnova anova = OneWayAnova.Of(groups);
        double within = anova.WithinSs / anova.WithinDf, between = anova.BetweenSs / anova.BetweenDf;
        double lab = Math.Max(0, (between - within) / groups[0].Count);
        return new(Math.Sqrt(within), lab, Math.Sqrt(within + lab));
    }
}

/// <summary>Intraclass correlations of n things rated by k raters (Shrout and Fleiss, Psychological Bulletin 86, 1979).</summary>
public sealed record IntraclassCorrelation(
    double BetweenMs, double WithinMs, double RaterMs, double ErrorMs, double Icc11, double Icc21, double Icc31, double Icc1K, double Icc2K, double Icc3K)
{
    /// <summary>Standard error of measurement, consistency: the square root of the error mean square.</summary>
    public double StandardErrorOfMeasurement => Math.Sqrt(ErrorMs);

    /// <param name="rows">One row a thing, one column a rater.</param>
    public static IntraclassCorrelation Of(IReadOnlyList<IReadOnlyList<double>> rows)
    {
        int n = rows.Count, k = rows[0].Count;
        double grand = rows.Sum(r => r.Sum()) / (n * k);
        double ssRows = rows.Sum(r => k * Square(r.Average() - grand));
        double ssColumns = Enumerable.Range(0, k).Sum(c => n * Square(rows.Average(r => r[c]) - grand));
        double ssTotal = rows.Sum(r => r.Sum(v => Square(v - grand)));
        double bms = ssRows / (n - 1), wms = (ssTotal - ssRows) / (n * (k - 1));
        double jms = ssColumns / (k - 1), ems = (ssTotal - ssRows - ssColumns) / ((n - 1) * (k - 1));
        return new(bms, wms, jms, ems,
            (bms - wms) / (bms + (k - 1) * wms),
            (bms - ems) / (bms + (k - 1) * ems + k * (jms - ems) / n),
            (bms - ems) / (bms + (k - 1) * ems),
            (bms - wms) / bms,
            (bms - ems) / (bms + (jms - ems) / n),
            (bms - ems) / bms);
    }

    private static double Square(double v) => v * v;
}
