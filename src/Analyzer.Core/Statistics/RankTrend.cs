namespace Analyzer.Core.Statistics;

/// <summary>Mann-Kendall trend test with Theil-Sen slope.</summary>
/// <remarks>Kendall's S over all pairs; exact two-sided p for up to 60 values without ties, else normal with continuity. Mann 1945, Sen 1968.</remarks>
/// <param name="S">Pairs that rise less pairs that fall.</param>
/// <param name="P">Two-sided chance of so large a |S| without any trend.</param>
/// <param name="Slope">Median slope of all pairs.</param>
public sealed record RankTrend(int S, double P, double Slope)
{
    public static RankTrend Of(IReadOnlyList<double> x, IReadOnlyList<double> y) => OfStrata([(x, y)]);

    /// <summary>One trend over several groups: only pairs within a group are compared, S is the sum over groups.</summary>
    public static RankTrend OfStrata(IReadOnlyList<(IReadOnlyList<double> X, IReadOnlyList<double> Y)> groups)
    {
        int s = 0;
        var slopes = new List<double>();
        bool ties = false;
        foreach ((IReadOnlyList<double> x, IReadOnlyList<double> y) in groups)
        {
            for (int i = 0; i < x.Count; i++)
            {
                for (int j = i + 1; j < x.Count; j++)
                {
                    int sign = Math.Sign((y[j] - y[i]) * (x[j] - x[i]));
                    ties |= sign == 0;
                    s += sign;
                    if (x[i] != x[j]) slopes.Add((y[j] - y[i]) / (x[j] - x[i]));
                }
            }
        }
        if (slopes.Count == 0) return new RankTrend(0, 1, double.NaN);
        int[] sizes = [.. groups.Select(g => g.X.Count)];
        return new RankTrend(s, !ties && sizes.Sum() <= 60 ? ExactTwoSided(sizes, Math.Abs(s)) : NormalTwoSided(sizes, s), Moments.Median(slopes));
    }

    /// <summary>Chance of S at or above s among all orders of n values.</summary>
    public static double ExactUpper(int n, int s) => ExactUpper([n], s);

    private static double ExactUpper(int[] sizes, int s)
    {
        // Orders by number of falling pairs: each new value may be placed in front of 0..k others of its group.
        double[] ways = [1];
        foreach (int n in sizes)
        {
            for (int k = 1; k < n; k++)
            {
                var next = new double[ways.Length + k];
                for (int i = 0; i < ways.Length; i++)
                    for (int j = 0; j <= k; j++) next[i + j] += ways[i] / (k + 1);
                ways = next;
            }
        }
        int pairs = sizes.Sum(n => n * (n - 1) / 2);
        return ways.Where((_, falling) => pairs - 2 * falling >= s).Sum();
    }

    private static double ExactTwoSided(int[] sizes, int s) => s == 0 ? 1 : Math.Min(1, 2 * ExactUpper(sizes, s));

    private static double NormalTwoSided(int[] sizes, int s)
    {
        if (s == 0) return 1;
        double z = (Math.Abs(s) - 1) / Math.Sqrt(sizes.Sum(n => n * (n - 1.0) * (2 * n + 5) / 18));
        return Math.Min(1, 2 * NormalDistribution.Cdf(-z));
    }
}
