namespace Analyzer.Practice.Statistics;

/// <summary>Theil-Sen line: the median of all pairwise slopes, with Sen's interval.</summary>
/// <remarks>Sen, JASA 63, 1968, 1379-1389. Intercept: median(y) - slope·median(x). Ranks of the limits rounded outward, normal approximation with ties.</remarks>
public sealed record TheilSen(double Slope, double Intercept, double Low, double High)
{
    public static TheilSen Of(IReadOnlyList<double> x, IReadOnlyList<double> y, double confidence = 0.95)
    {
        var slopes = new List<double>();
        for (int i = 0; i < x.Count; i++)
            for (int j = i + 1; j < x.Count; j++)
                if (x[j] != x[i]) slopes.Add((y[j] - y[i]) / (x[j] - x[i]));
        if (slopes.Count == 0) return new(double.NaN, double.NaN, double.NaN, double.NaN);
        slopes.Sort();
        double slope = Samples.Median(slopes);
        double c = MathNet.Numerics.Distributions.Normal.InvCDF(0, 1, 1 - (1 - confidence) / 2) * Math.Sqrt(MannKendall.VarianceOfS(y));
        int low = (int)Math.Round((slopes.Count - c) / 2) - 1, high = (int)Math.Round((slopes.Count + c) / 2);
        return new(slope, Samples.Median(y) - slope * Samples.Median(x),
            low < 0 ? double.NegativeInfinity : slopes[low], high >= slopes.Count ? double.PositiveInfinity : slopes[high]);
    }
}

/// <summary>Mann-Kendall test of a monotone trend: S, exact p without ties up to 60 values, otherwise the normal approximation with continuity.</summary>
public sealed record MannKendall(int S, double OneSidedP, double TwoSidedP, double Z, bool Exact)
{
    public const int MostExact = 60;

    /// <summary>Fewest values with which a two-sided 5 % trend can be claimed at all.</summary>
    public const int FewestForFivePercent = 5;

    public static MannKendall Of(IReadOnlyList<double> x, IReadOnlyList<double> y)
    {
        int s = 0;
        for (int i = 0; i < x.Count; i++)
            for (int j = i + 1; j < x.Count; j++)
                s += Math.Sign(x[j] - x[i]) * Math.Sign(y[j] - y[i]);
        bool ties = y.Distinct().Count() < y.Count || x.Distinct().Count() < x.Count;
        double sd = Math.Sqrt(VarianceOfS(y));
        double z = s == 0 || sd == 0 ? 0 : (s - Math.Sign(s)) / sd;
        if (ties || x.Count > MostExact)
        {
            double p = 2 * MathNet.Numerics.Distributions.Normal.CDF(0, 1, -Math.Abs(z));
            return new(s, p / 2, p, z, false);
        }
        double tail = UpperTail(x.Count, Math.Abs(s));
        return new(s, tail, Math.Min(1, 2 * tail), z, true);
    }

    /// <summary>Probability that S of n values in random order is at least s (exact, no ties).</summary>
    public static double UpperTail(int n, int s)
    {
        int most = n * (n - 1) / 2;
        var chance = new double[most + 1];
        chance[0] = 1;
        for (int k = 2, top = 0; k <= n; k++)
        {
            var next = new double[most + 1];
            top += k - 1;
            for (int inversions = 0; inversions <= top; inversions++)
                for (int d = 0; d < k && d <= inversions; d++) next[inversions] += chance[inversions - d] / k;
            chance = next;
        }
        double sum = 0;
        for (int inversions = 0; inversions <= most; inversions++)
            if (most - 2 * inversions >= s) sum += chance[inversions];
        return Math.Min(1, sum);
    }

    internal static double VarianceOfS(IReadOnlyList<double> y)
    {
        double n = y.Count, v = n * (n - 1) * (2 * n + 5);
        foreach (IGrouping<double, double> tie in y.GroupBy(value => value))
        {
            double t = tie.Count();
            if (t > 1) v -= t * (t - 1) * (2 * t + 5);
        }
        return v / 18;
    }
}
