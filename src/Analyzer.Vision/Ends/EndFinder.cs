namespace Analyzer.Vision.Ends;

/// <summary>Where a thread ends beyond (+) or short of (-) the block's edge, mm along its line, with its standard uncertainty (corners not included).</summary>
public readonly record struct ThreadEnd(double OvershootMm, double UMm);

/// <summary>Finds the end of the thread as the step from thread to ground along the line, near the edge.</summary>
/// <remarks>
/// Every place of the step within reach is weighed by the likelihood of the heights on both sides (thread: usual height with the unevenness of dashes;
/// ground: none); the end is the mean over places, its u their spread.
/// </remarks>
internal static class EndFinder
{
    /// <summary>Farthest end looked for, mm; and the largest u worth telling.</summary>
    private const double ReachMm = 3.2, LargestUMm = 0.6;

    /// <summary>What blur and the dive into the last hole leave open, mm; from comparison with known truth.</summary>
    private const double HoleUMm = 0.22;

    /// <summary>Thread is lost to sight this much before its last hole, mm; from comparison with known truth.</summary>
    private const double DiveMm = 0.15;

    /// <summary>Heights of neighbouring steps hang together over about this many steps (a dash's half).</summary>
    private const double Persistence = 10;

    public static ThreadEnd? Start(ThreadHeights h) => Find(h, i => i, h.AlongMm.Length);

    public static ThreadEnd? End(ThreadHeights h) => Find(h, i => h.AlongMm.Length - 1 - i, h.AlongMm.Length);

    private static ThreadEnd? Find(ThreadHeights h, Func<int, int> order, int n)
    {
        // Beyond, from -BeyondMm inwards; x = 0 is the edge.
        double lead = ThreadHeights.BeyondMm;
        double extra = n * ThreadHeights.StepMm - (h.Line.Line.LengthMm + 2 * lead);
        double X(int i) => i * ThreadHeights.StepMm - lead - (order(0) == 0 ? 0 : extra - ThreadHeights.StepMm);
        List<double> own = [];
        for (int i = 0; i < n && X(i) < 18; i++)
            if (X(i) > 4 && h.IsSeen[order(i)]) own.Add(h.Height[order(i)]);
        if (own.Count < 50) return null;
        double mean = own.Average(), sd = Math.Sqrt(own.Average(v => (v - mean) * (v - mean)));
        double ground = Math.Max(h.Noise, 0.08), thread = Math.Max(sd, ground);
        if (mean < 2.5 * ground) return null;
        int first = (int)Math.Round((lead - ReachMm - 1.5) / ThreadHeights.StepMm), last = (int)Math.Round((lead + ReachMm + 3) / ThreadHeights.StepMm);
        var logs = new List<(double At, double Log)>();
        int hidden = 0, looked = 0;
        double log = 0;
        for (int i = first; i <= last; i++) log += AsThread(i);
        for (int i = first; i <= last; i++)
        {
            // The step lies before place i: i and inward are thread.
            if (X(i) >= -ReachMm && X(i) <= ReachMm) logs.Add((X(i) - ThreadHeights.StepMm / 2, log / Persistence));
            log += AsGround(i) - AsThread(i);
            if (Math.Abs(X(i)) > ReachMm) continue;
            looked++;
            if (!h.IsSeen[order(i)]) hidden++;
        }
        if (looked == 0 || hidden > 0.5 * looked) return null;
        double top = logs.Max(l => l.Log), sum = logs.Sum(l => Math.Exp(l.Log - top));
        double at = logs.Sum(l => l.At * Math.Exp(l.Log - top)) / sum, variance = logs.Sum(l => Math.Pow(l.At - at, 2) * Math.Exp(l.Log - top)) / sum;
        double u = Math.Sqrt(1.5 * variance + HoleUMm * HoleUMm);
        return u > LargestUMm || Math.Abs(at) > ReachMm - 0.4 ? null : new ThreadEnd(-at + DiveMm, u);

        double AsThread(int i) => Log(i, mean, thread);
        double AsGround(int i) => Log(i, 0, ground);
        double Log(int i, double level, double spread)
        {
            if (i < 0 || i >= n || !h.IsSeen[order(i)]) return 0;
            double z = Math.Clamp((h.Height[order(i)] - level) / spread, -3.5, 3.5);
            return -0.5 * z * z - Math.Log(spread);
        }
    }
}
