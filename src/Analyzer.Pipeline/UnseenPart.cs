using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>What the unseen millimetres of a line (its ends at the ditch, gaps) may hide of its reference line and straightness.</summary>
/// <remarks>
/// Unseen deviations are taken to be of the size of the line's own r.m.s. and to hang together over a few centimetres. Offset and slope are linear in the samples: an unseen run moves them by the sum of its weights times its
/// deviations; at an end by more, since the line fitted to the rest runs off there.
/// </remarks>
/// <param name="TotalUMm">Of STRt: the highest and the lowest place may lie unseen, and averaging along the thread takes off sharp peaks.</param>
internal readonly record struct UnseenPart(double OffsetUMm, double SlopeU, double RmsUMm, double TotalUMm)
{
    /// <summary>
    /// Beside the ditch the seam's shade pulls at the trace of the last millimetre. On a long line that is nothing, on a corner line of some millimetres it
    /// is most of the uncertainty. Size from comparison with known truth over invented photos, mm times mm of line.
    /// </summary>
    private const double EndPullMm2 = 0.3;

    /// <summary>Share of STRt by which the averaging along the thread may flatten its peaks (from the same comparison).</summary>
    private const double PeakShare = 0.06;

    /// <summary>
    /// u(STRq) as a share of STRq: for ends the first times the unseen over the seen share, for each gap the second times its share. These, <see cref="HangsTogetherMm"/>, <see cref="GapGrows"/> and <see cref="EndGrows"/> are from the
    /// true lines of four unrelated photo makers, with 2 to 50 % of each left out.
    /// </summary>
    private const double EndShare = 0.9, GapShare = 0.8;

    /// <summary>Distance along the thread over which deviations hang together, mm.</summary>
    private const double HangsTogetherMm = 20;

    /// <summary>How much more a gap may hide than deviations like those seen beside it.</summary>
    private const double GapGrows = 1.4;

    /// <summary>An unseen run begins at an end where no more than this is seen before it, mm.</summary>
    private const int IslandMm = 4;

    /// <summary>A larger unseen share counts as this one.</summary>
    private const double MostShare = 0.9;

    /// <param name="rmsMm">The line's own r.m.s., not less than what noise may hide of it.</param>
    public static UnseenPart Of(WholeThread thread, double rmsMm, double totalMm)
    {
        TracedLine line = thread.Line;
        double length = line.Line.LengthMm, mid = (thread.FirstMm + thread.LastMm) / 2.0;
        int n = Math.Max(2, thread.LastMm - thread.FirstMm + 1);
        double sxx = Enumerable.Range(0, n).Sum(x => Math.Pow(thread.FirstMm + x - mid, 2));
        (int From, int End)[] runs = [.. Runs(thread)];
        bool IsEnd((int From, int End) r) => r.From - thread.FirstMm <= IslandMm || thread.LastMm + 1 - r.End <= IslandMm;
        double ends = Math.Min(MostShare, runs.Where(IsEnd).Sum(r => r.End - r.From) / (double)n), offset2 = 0, slope2 = 0, rms2 = Math.Pow(EndShare * ends / (1 - ends), 2);
        foreach ((int From, int End) run in runs)
        {
            double share = (run.End - run.From) / (double)n;
            bool isEnd = IsEnd(run);
            offset2 += Math.Pow(isEnd ? EndGrows(share) : GapGrows, 2) * Variance(run.From, run.End, _ => 1.0 / n);
            slope2 += Math.Pow(isEnd ? EndGrows(ends) : GapGrows, 2) * Variance(run.From, run.End, mm => (mm - mid) / sxx);
            if (!isEnd) rms2 += Math.Pow(GapShare * share, 2);
        }
        double pull = EndPullMm2 / length, rms = rmsMm * Math.Sqrt(rms2);
        return new UnseenPart(Hypot(rmsMm * Math.Sqrt(offset2), 0.6 * pull), Hypot(rmsMm * Math.Sqrt(slope2), pull / length), Hypot(rms, 0.5 * pull), Hypot(Hypot(LineDeviations.PeakFactor * rms, pull), PeakShare * totalMm));
    }

    /// <summary>The unseen runs: first millimetre, and the first one after.</summary>
    private static IEnumerable<(int From, int End)> Runs(WholeThread thread)
    {
        var seen = new HashSet<int>(thread.Line.AlongMm.Select(x => (int)Math.Round(x)));
        for (int x = thread.FirstMm; x <= thread.LastMm; x++)
        {
            int from = x;
            while (x <= thread.LastMm && !seen.Contains(x)) x++;
            if (x > from) yield return (from, x);
        }
    }

    /// <summary>Variance of the weighted sum of a run's deviations, each of variance 1.</summary>
    private static double Variance(int fromMm, int endMm, Func<int, double> weight)
    {
        double rho = Math.Exp(-1 / HangsTogetherMm), before = 0, sum = 0;
        for (int mm = fromMm; mm < endMm; mm++)
        {
            double w = weight(mm);
            sum += w * (w + 2 * before);
            before = rho * (before + w);
        }
        return sum;
    }

    /// <summary>An unseen end lies farther from the line fitted to the rest than the rest itself does, the more so the longer it is.</summary>
    private static double EndGrows(double share) => 1.3 / Math.Pow(1 - Math.Min(share, MostShare), 2.2);

    private static double Hypot(double a, double b) => Math.Sqrt(a * a + b * b);
}
