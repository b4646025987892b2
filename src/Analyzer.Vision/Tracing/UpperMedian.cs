namespace Analyzer.Vision.Tracing;

/// <summary>The middle value of a list, the upper of two where it is even; 0 of none.</summary>
internal static class UpperMedian
{
    public static double Of(IEnumerable<double> values)
    {
        double[] sorted = [.. values];
        return OfScratch(sorted, sorted.Length);
    }

    /// <summary>The same of the first entries of an array whose order may be changed.</summary>
    public static double OfScratch(double[] values, int count)
    {
        if (count == 0) return 0;
        Array.Sort(values, 0, count);
        return values[count / 2];
    }
}
