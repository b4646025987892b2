namespace Analyzer.Vision.Tracing;

/// <summary>What is marked for long enough without a break.</summary>
internal static class LongRuns
{
    /// <summary>The same marks without the runs of fewer than so many.</summary>
    public static bool[] Of(bool[] marked, int fewest)
    {
        var result = new bool[marked.Length];
        for (int i = 0; i < marked.Length; i++)
        {
            int from = i;
            while (i < marked.Length && marked[i]) i++;
            if (i - from >= fewest) Array.Fill(result, true, from, i - from);
        }
        return result;
    }
}
