namespace Analyzer.Practice.Statistics;

/// <summary>Mean, spread and the two classic t tests of plain samples.</summary>
public static class Samples
{
    public static double Mean(IReadOnlyList<double> x) => x.Sum() / x.Count;

    /// <summary>Variance with n-1, two passes.</summary>
    public static double Variance(IReadOnlyList<double> x)
    {
        if (x.Count < 2) return double.NaN;
        double mean = Mean(x), sum = 0;
        foreach (double v in x) sum += (v - mean) * (v - mean);
        return sum / (x.Count - 1);
    }

    public static double StandardDeviation(IReadOnlyList<double> x) => Math.Sqrt(Variance(x));

    public static double Median(IReadOnlyList<double> x)
    {
        double[] sorted = [.. x];
        Array.Sort(sorted);
        int n = sorted.Length;
        return n == 0 ? double.NaN : n % 2 == 1 ? sorted[n / 2] : (sorted[n / 2 - 1] + sorted[n / 2]) / 2;
    }

    /// <summary>The mean against zero: one-sample, or paired when x are differences (Student 1908).</summary>
    public static TestResult OneSampleT(IReadOnlyList<double> x)
    {
        double mean = Mean(x), se = Math.Sqrt(Variance(x) / x.Count);
        return TestResult.OfT(mean, se, x.Count - 1);
    }

    /// <summary>Mean of a minus mean of b without assuming equal spread (Welch).</summary>
    public static TestResult WelchT(IReadOnlyList<double> a, IReadOnlyList<double> b)
    {
        double va = Variance(a) / a.Count, vb = Variance(b) / b.Count;
        double df = Student.EffectiveDf([(va, a.Count - 1), (vb, b.Count - 1)]);
        return TestResult.OfT(Mean(a) - Mean(b), Math.Sqrt(va + vb), df);
    }

    /// <summary>Pearson's correlation coefficient.</summary>
    public static double Correlation(IReadOnlyList<double> x, IReadOnlyList<double> y)
    {
        double mx = Mean(x), my = Mean(y), sxy = 0, sxx = 0, syy = 0;
        for (int i = 0; i < x.Count; i++)
        {
            sxy += (x[i] - mx) * (y[i] - my);
            sxx += (x[i] - mx) * (x[i] - mx);
            syy += (y[i] - my) * (y[i] - my);
        }
        return sxy / Math.Sqrt(sxx * syy);
    }
}

/// <summary>An estimate with its standard error, 95 % interval and two-sided p against zero.</summary>
public sealed record TestResult(double Estimate, double StandardError, double Df, double Low, double High, double T, double P)
{
    public static TestResult OfT(double estimate, double standardError, double df)
    {
        if (!(df > 0) || double.IsNaN(standardError))
            return new(estimate, double.NaN, 0, double.NaN, double.NaN, double.NaN, 1);
        if (standardError <= 0)
            return new(estimate, 0, df, estimate, estimate, estimate == 0 ? 0 : double.PositiveInfinity * Math.Sign(estimate), estimate == 0 ? 1 : 0);
        double half = Student.TwoSidedQuantile(0.05, df) * standardError, t = estimate / standardError;
        return new(estimate, standardError, df, estimate - half, estimate + half, t, Student.TwoSidedP(t, df));
    }
}
