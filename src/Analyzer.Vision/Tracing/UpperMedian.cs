using Analyzer.Vision.Corners;
using Analyzer.Vision.Stitches;

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
        Span<double> v = values.AsSpan(0, count);
        int k = count / 2, strange = 0;
        // What is not a number goes first, as in sorting.
        for (int i = 0; i < count; i++)
        {
            if (!double.IsNaN(v[i])) continue;
            (v[i], v[strange]) = (v[strange], v[i]);
            strange++;
        }
        return k < strange ? double.NaN : Ranks.At(v[strange..], k - strange);
    }

    /// <summary>Channel by channel.</summary>
    public static Colour3 Of(IReadOnlyCollection<Colour3> colours) => new(Of(colours.Select(c => c.L)), Of(colours.Select(c => c.A)), Of(colours.Select(c => c.B)));
}
