namespace Analyzer.Vision.Tracing;

/// <summary>Sums over a window about each place of a series.</summary>
internal static class MovingSum
{
    /// <param name="values">One value for each place.</param>
    /// <param name="half">Places on either side that count with each; fewer at the series' ends.</param>
    public static double[] Of(IEnumerable<double> values, int half)
    {
        List<double> sums = [0];
        foreach (double x in values) sums.Add(sums[^1] + x);
        int n = sums.Count - 1;
        return [.. Enumerable.Range(0, n).Select(i => sums[Math.Min(n, i + half + 1)] - sums[Math.Max(0, i - half)])];
    }
}
