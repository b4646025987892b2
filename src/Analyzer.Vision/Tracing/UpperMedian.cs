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
        int k = count / 2, low = 0, high = count - 1;
        // Hoare's selection: only the side that holds the middle is looked at again. What is not a number goes first, as in sorting.
        for (int i = 0; i < count; i++)
        {
            if (!double.IsNaN(v[i])) continue;
            (v[i], v[low]) = (v[low], v[i]);
            low++;
        }
        if (k < low) return double.NaN;
        while (low < high)
        {
            double pivot = v[(low + high) / 2];
            int i = low, j = high;
            while (i <= j)
            {
                while (v[i] < pivot) i++;
                while (v[j] > pivot) j--;
                if (i > j) break;
                (v[i], v[j]) = (v[j], v[i]);
                i++;
                j--;
            }
            if (k <= j) high = j;
            else if (k >= i) low = i;
            else break;
        }
        return v[k];
    }

    /// <summary>Channel by channel.</summary>
    public static Colour3 Of(IReadOnlyCollection<Colour3> colours) => new(Of(colours.Select(c => c.L)), Of(colours.Select(c => c.A)), Of(colours.Select(c => c.B)));
}
