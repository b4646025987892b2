using MathNet.Numerics.Distributions;

namespace Analyzer.Practice.Statistics;

/// <summary>Quantiles and tail probabilities of Student's t and the normal distribution.</summary>
public static class Student
{
    /// <summary>Two-sided probability of a |t| at least this large; 1 when df is not positive.</summary>
    public static double TwoSidedP(double t, double df)
    {
        if (!(df > 0) || double.IsNaN(t)) return 1;
        if (double.IsInfinity(df)) return 2 * Normal.CDF(0, 1, -Math.Abs(t));
        return Math.Min(1, 2 * StudentT.CDF(0, 1, df, -Math.Abs(t)));
    }

    /// <summary>The t that is exceeded on both sides together with probability alpha.</summary>
    public static double TwoSidedQuantile(double alpha, double df) =>
        double.IsInfinity(df) || df > 1e6 ? Normal.InvCDF(0, 1, 1 - alpha / 2) : StudentT.InvCDF(0, 1, df, 1 - alpha / 2);

    /// <summary>Degrees of freedom of a sum of independent variances (Welch-Satterthwaite; JCGM 100:2008, G.4.2).</summary>
    public static double EffectiveDf(IEnumerable<(double Variance, double Df)> parts)
    {
        double sum = 0, weighted = 0;
        foreach ((double variance, double df) in parts)
        {
            sum += variance;
            if (!double.IsInfinity(df) && df > 0) weighted += variance * variance / df;
        }
        return weighted > 0 ? sum * sum / weighted : double.PositiveInfinity;
    }
}
