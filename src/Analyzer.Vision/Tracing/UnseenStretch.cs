using Analyzer.Vision.Learnt;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Stretches of a followed line where the net sees no thread, there or beside, and what was followed runs much straighter than the thread does elsewhere on the same line, or was followed in scattered places only: the edge
/// of a stripe, most often, that runs nearly along the line. Nothing is said of the line there.
/// </summary>
/// <remarks>
/// Neither is enough by itself: dark thread on dark cloth is often followed rightly where the net sees none. From 118 hard photos of five unrelated makers: where the net's log odds were below the limit, swaying stretches were as
/// good as their uncertainty said, straight ones twenty times worse, scattered places five times.
/// </remarks>
internal static class UnseenStretch
{
    /// <summary>Log odds below which there is no thread to the net, over so many millimetres to either side.</summary>
    private const double NoThread = -2.5, OddsReachMm = 2;

    /// <summary>The straightness (r.m.s.) over so many millimetres to either side, as a share of what it mostly is where the net sees thread.</summary>
    private const double StraightShare = 0.35, StraightReachMm = 6;

    /// <summary>With fewer samples than these in that piece the line was followed in scattered places only.</summary>
    private const int FewestNear = 6;

    /// <summary>Shortest straight stretch that is left out, in samples; and how far it goes on, to either side, while the net sees thread less likely than not, mm.</summary>
    private const int FewestStraight = 3;

    private const double GoesOnMm = 8;

    /// <summary>Share of the samples where the net must see thread: else it is blind to this thread, and says nothing.</summary>
    private const double LeastSeen = 0.2;

    /// <summary>The same line without such stretches.</summary>
    /// <param name="strip">What the net says about the line; of places beyond its rim, nothing.</param>
    /// <param name="path">Where the net sees the line's thread; null where it sees too little of it to say.</param>
    public static TracedLine Without(TracedLine line, SightStrip strip, SightPath? path)
    {
        double[] x = line.AlongMm, y = line.DeviationMm;
        if (x.Length == 0 || x[^1] - x[0] < 2 * StraightReachMm) return line;
        double[] odds = [.. x.Zip(y, (s, d) => strip.Holds(d) ? strip.At(s, d) : 0)], near = [.. x.Select(s => Between(x, s - OddsReachMm, s + OddsReachMm).Average(i => odds[i]))];
        if (near.All(o => o >= NoThread) || odds.Count(o => o > 0) < LeastSeen * odds.Length) return line;
        double?[] straightness = [.. x.Select(s => Straightness(line, s))];
        double[] seen = [.. straightness.Where((q, i) => odds[i] > 0).OfType<double>()];
        if (seen.Length == 0) return line;
        double limit = StraightShare * UpperMedian.Of(seen);
        // Where it sees the thread beside, that is where the line is (JoinedTrace).
        bool[] unseen = [.. near.Select((o, i) => o < NoThread && !(path?.OddsAt(x[i]) > 0))];
        bool[] away = LongRuns.Of([.. unseen.Select((u, i) => u && straightness[i] < limit)], FewestStraight);
        // Before and after such a stretch it leaves the thread and comes back.
        int[] straight = [.. Enumerable.Range(0, x.Length).Where(i => away[i])];
        foreach (int start in straight)
            foreach (int step in (int[])[-1, 1])
                for (int i = start + step; i >= 0 && i < x.Length && near[i] < 0 && Math.Abs(x[i] - x[start]) <= GoesOnMm; i += step) away[i] = true;
        return line.Only([.. away.Select((a, i) => !a && !(unseen[i] && straightness[i] is null))]);
    }

    /// <summary>Of the piece about a place, at the line's ends of the last piece of that length; null where too few places of it were followed.</summary>
    private static double? Straightness(TracedLine line, double alongMm)
    {
        double middle = Math.Clamp(alongMm, line.AlongMm[0] + StraightReachMm, line.AlongMm[^1] - StraightReachMm);
        int[] near = [.. Between(line.AlongMm, middle - StraightReachMm, middle + StraightReachMm)];
        return near.Length < FewestNear ? null : Core.Deviation.Straightness.Of([.. near.Select(i => line.AlongMm[i])], [.. near.Select(i => line.DeviationMm[i])]).RmsMm;
    }

    private static IEnumerable<int> Between(double[] sorted, double from, double to)
    {
        int first = Array.BinarySearch(sorted, from);
        for (int i = first < 0 ? ~first : first; i < sorted.Length && sorted[i] <= to; i++) yield return i;
    }
}
