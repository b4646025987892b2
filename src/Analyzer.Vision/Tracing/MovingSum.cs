namespace Analyzer.Vision.Tracing;

/// <summary>Sums over a window about each place of a series.</summary>
internal static class MovingSum
{
    /// <param name="values">One value for each place.</param>
    /// <param name="half">Places on either side that count with each; fewer at the series' ends.</param>
    /// <param name="times">What each value is multiplied by first; null for 1.</param>
    public static double[] Of(double[] values, int half, double[]? times = null)
    {
        int n = values.Length;
        double[] sums = new double[n + 1], result = new double[n];
        for (int i = 0; i < n; i++) sums[i + 1] = sums[i] + values[i] * (times?[i] ?? 1);
        for (int i = 0; i < n; i++) result[i] = sums[Math.Min(n, i + half + 1)] - sums[Math.Max(0, i - half)];
        return result;
    }
}
