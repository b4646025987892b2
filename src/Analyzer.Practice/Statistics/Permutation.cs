namespace Analyzer.Practice.Statistics;

/// <summary>Exact tests by counting every rearrangement.</summary>
public static class Permutation
{
    /// <summary>Most pairs for which every sign pattern is counted (2^22 patterns).</summary>
    public const int MostExactPairs = 22;

    private const double Slack = 1e-9;

    /// <summary>Sign patterns whose sum reaches the observed one, of 2^n (Fisher, The Design of Experiments, section 21).</summary>
    public static (long Reaching, long Exceeding, long All) SignFlipCounts(IReadOnlyList<double> differences)
    {
        int n = differences.Count;
        if (n > MostExactPairs) throw new ArgumentException($"At most {MostExactPairs} pairs are counted exactly.", nameof(differences));
        double observed = Math.Abs(differences.Sum()), slack = Slack * differences.Sum(Math.Abs);
        long reaching = 0, exceeding = 0, all = 1L << n;
        double sum = -differences.Sum();
        long signs = 0;
        for (long step = 0; ; step++)
        {
            if (sum >= observed - slack) reaching++;
            if (sum > observed + slack) exceeding++;
            if (step + 1 == all) break;
            int flip = System.Numerics.BitOperations.TrailingZeroCount(step + 1);
            signs ^= 1L << flip;
            sum += ((signs >> flip) & 1) == 1 ? 2 * differences[flip] : -2 * differences[flip];
        }
        return (reaching, exceeding, all);
    }

    /// <summary>Two-sided exact sign-flip p for "the mean is zero".</summary>
    public static double SignFlipP(IReadOnlyList<double> differences)
    {
        (long reaching, _, long all) = SignFlipCounts(differences);
        return Math.Min(1, 2.0 * reaching / all);
    }

    /// <summary>Wilcoxon's signed ranks: the smaller rank sum, and the exact two-sided p. Zero differences are left out; ties share ranks.</summary>
    public static (double V, double P) Wilcoxon(IReadOnlyList<double> differences)
    {
        double[] d = [.. differences.Where(x => x != 0)];
        double[] ranks = Ranks([.. d.Select(Math.Abs)]);
        double plus = 0, total = ranks.Sum();
        for (int i = 0; i < d.Length; i++) if (d[i] > 0) plus += ranks[i];
        double smaller = Math.Min(plus, total - plus);
        int size = (int)Math.Round(2 * total) + 1;
        var ways = new double[size];
        ways[0] = 1;
        foreach (double rank in ranks)
            for (int s = size - 1, r = (int)Math.Round(2 * rank); s >= r; s--) ways[s] += ways[s - r];
        double below = 0;
        for (int s = 0; s <= (int)Math.Round(2 * smaller); s++) below += ways[s];
        return (smaller, Math.Min(1, 2 * below / Math.Pow(2, d.Length)));
    }

    /// <summary>Of all ways to choose a's places among a and b together, how many give a sum at least as large.</summary>
    public static (long Reaching, long All) TwoGroupCounts(IReadOnlyList<double> a, IReadOnlyList<double> b)
    {
        double[] all = [.. a, .. b];
        double observed = a.Sum(), slack = Slack * all.Sum(Math.Abs);
        long reaching = 0, count = 0;
        void Choose(int from, int left, double sum)
        {
            if (left == 0)
            {
                count++;
                if (sum >= observed - slack) reaching++;
                return;
            }
            for (int i = from; i <= all.Length - left; i++) Choose(i + 1, left - 1, sum + all[i]);
        }
        Choose(0, a.Count, 0);
        return (reaching, count);
    }

    /// <summary>Smallest two-sided p a sign-flip test of n pairs can reach: 2/2^n.</summary>
    public static double SmallestSignFlipP(int pairs) => Math.Min(1, 2 / Math.Pow(2, pairs));

    /// <summary>Smallest two-sided p two groups can reach: 2/C(n+m, n).</summary>
    public static double SmallestTwoGroupP(int n, int m)
    {
        double ways = 1;
        for (int i = 1; i <= n; i++) ways = ways * (m + i) / i;
        return Math.Min(1, 2 / ways);
    }

    private static double[] Ranks(double[] x)
    {
        int[] order = [.. Enumerable.Range(0, x.Length).OrderBy(i => x[i])];
        var ranks = new double[x.Length];
        for (int i = 0; i < order.Length;)
        {
            int j = i;
            while (j < order.Length && x[order[j]] == x[order[i]]) j++;
            for (int k = i; k < j; k++) ranks[order[k]] = (i + 1 + j) / 2.0;
            i = j;
        }
        return ranks;
    }
}
