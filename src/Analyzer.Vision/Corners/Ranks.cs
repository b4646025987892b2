using System.Numerics;

namespace Analyzer.Vision.Corners;

/// <summary>Values by their rank, without sorting them all.</summary>
/// <remarks>Hoare, Algorithm 65: Find, CACM 4(7), 1961.</remarks>
internal static class Ranks
{
    /// <summary>The value that would stand at a place if the values were sorted. They are put in another order: none before the place is larger, none after it smaller.</summary>
    public static T At<T>(Span<T> values, int place)
        where T : struct, IComparisonOperators<T, T, bool>
    {
        int left = 0, right = values.Length - 1;
        while (left < right)
        {
            T pivot = MiddleOf(values[left], values[(left + right) / 2], values[right]);
            int i = left, j = right;
            while (i <= j)
            {
                while (values[i] < pivot) i++;
                while (pivot < values[j]) j--;
                if (i > j) break;
                (values[i], values[j]) = (values[j], values[i]);
                i++;
                j--;
            }
            if (place <= j) right = j;
            else if (place >= i) left = i;
            else break;
        }
        return values[place];
    }

    private static T MiddleOf<T>(T a, T b, T c)
        where T : struct, IComparisonOperators<T, T, bool>
    {
        if (b < a) (a, b) = (b, a);
        return c < a ? a : c < b ? c : b;
    }
}
