namespace Analyzer.Vision.Tracing;

/// <summary>The middle value of a list, the upper of two where it is even; 0 of none.</summary>
internal static class UpperMedian
{
    public static double Of(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted.Length == 0 ? 0 : sorted[sorted.Length / 2];
    }
}
