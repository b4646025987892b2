using Analyzer.Core.Deviation;
using Analyzer.Vision.Learnt;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Stretches of a followed line where the net sees no thread at all, and what was followed runs much straighter than the thread does elsewhere on the same line, or was followed in scattered places only: the edge of a
/// stripe, most often, that runs nearly along the line. Nothing is said of the line there.
/// </summary>
/// <remarks>
/// Neither is enough by itself: dark thread on dark cloth is often followed rightly where the net sees none. From 118 hard photos of five unrelated makers: where the net's log odds were below the limit, swaying stretches were as
/// good as their uncertainty said, straight ones twenty times worse, scattered places five times.
/// </remarks>
internal static class UnseenStretch
{
    /// <summary>Log odds below which there is no thread to the net, over so many millimetres to either side.</summary>
    private const double NoThread = -2.5, OddsReachMm = 2;

    /// <summary>The straightness (r.m.s.) over so many millimetres to either side, as a share of what it mostly is where the net sees thread; and how many samples tell it.</summary>
    private const double StraightShare = 0.35, StraightReachMm = 6;

    private const int FewestNear = 9;

    /// <summary>Share of the samples on thread that the net sees: else it is blind to this thread, and says nothing.</summary>
    private const double LeastSeen = 0.2;

    /// <summary>The same line without such places.</summary>
    public static TracedLine Without(TracedLine line, SightStrip strip)
    {
        double[] odds = [.. line.AlongMm.Zip(line.DeviationMm, strip.At)], near = [.. line.AlongMm.Select(s => Near(line, s, OddsReachMm).Average(i => odds[i]))];
        if (near.All(o => o >= NoThread) || odds.Count(o => o > 0) < LeastSeen * odds.Length) return line;
        double?[] straightness = [.. line.AlongMm.Select(s => Straightness(line, s))];
        double[] seen = [.. straightness.Where((q, i) => odds[i] > 0).OfType<double>()];
        if (seen.Length == 0) return line;
        double limit = StraightShare * UpperMedian.Of(seen);
        bool[] keep = [.. near.Select((o, i) => o >= NoThread || straightness[i] >= limit)];
        // It began where the thread was left, which is not where the net is surest.
        for (int i = 1; i < keep.Length; i++) keep[i] &= keep[i - 1] || near[i] >= 0;
        for (int i = keep.Length - 2; i >= 0; i--) keep[i] &= keep[i + 1] || near[i] >= 0;
        return line.Only(keep);
    }

    /// <summary>Null where too few places near by were followed.</summary>
    private static double? Straightness(TracedLine line, double alongMm)
    {
        int[] near = [.. Near(line, alongMm, StraightReachMm)];
        return near.Length < FewestNear ? null : Core.Deviation.Straightness.Of([.. near.Select(i => line.AlongMm[i])], [.. near.Select(i => line.DeviationMm[i])]).RmsMm;
    }

    private static IEnumerable<int> Near(TracedLine line, double alongMm, double reachMm) =>
        Enumerable.Range(0, line.AlongMm.Length).SkipWhile(i => line.AlongMm[i] < alongMm - reachMm).TakeWhile(i => line.AlongMm[i] <= alongMm + reachMm);
}
