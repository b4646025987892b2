namespace Analyzer.Practice.Statistics;

/// <summary>Holm's step-down correction for several tests at once, with weights (Holm, Scand. J. Statistics 6, 1979, 65-70).</summary>
public static class Holm
{
    /// <summary>Adjusted p values in the order given: a test is called at level alpha where its adjusted p is at most alpha.</summary>
    public static double[] Adjust(IReadOnlyList<double> p, IReadOnlyList<double>? weights = null)
    {
        int n = p.Count;
        double[] w = weights is null ? [.. Enumerable.Repeat(1.0, n)] : [.. weights];
        int[] order = [.. Enumerable.Range(0, n).OrderBy(i => p[i] / w[i]).ThenBy(i => i)];
        double left = w.Sum(), running = 0;
        var adjusted = new double[n];
        foreach (int i in order)
        {
            running = Math.Max(running, Math.Min(1, p[i] * left / w[i]));
            adjusted[i] = running;
            left -= w[i];
        }
        return adjusted;
    }
}
