using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>What the unseen millimetres of a line (its ends at the ditch, gaps) may hide of its reference line and straightness.</summary>
/// <remarks>
/// The line wobbles unseen as much as it does where it was seen, its deviations hanging together over a few centimetres. Offset and slope are linear in the samples: an unseen run moves
/// them by the sum of its weights times its deviations.
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
    /// Share of STRq that stays open for each share of the line unseen, at an end and in a gap; this, <see cref="HangsTogetherMm"/> and <see cref="EndGrows"/> from the true lines of four
    /// unrelated photo makers, with 2 to 50 % of each left out.
    /// </summary>
    private const double EndShare = 1.1, GapShare = 0.7;

    /// <summary>Distance along the thread over which deviations hang together, mm.</summary>
    private const double HangsTogetherMm = 20;

    public static UnseenPart Of(WholeThread thread, double rmsMm, double totalMm)
    {
        TracedLine line = thread.Line;
        double length = line.Line.LengthMm, mid = (thread.FirstMm + thread.LastMm) / 2.0;
        int n = Math.Max(2, thread.LastMm - thread.FirstMm + 1);
        double sxx = Enumerable.Range(0, n).Sum(x => Math.Pow(thread.FirstMm + x - mid, 2));
        var seen = new HashSet<int>(line.AlongMm.Select(x => (int)Math.Round(x)));
        double offset2 = 0, slope2 = 0, rms2 = 0;
        for (int x = thread.FirstMm; x <= thread.LastMm; x++)
        {
            int from = x;
            while (x <= thread.LastMm && !seen.Contains(x)) x++;
            if (x == from) continue;
            bool isEnd = from == thread.FirstMm || x > thread.LastMm;
            double share = (double)(x - from) / n, grows2 = Math.Pow(isEnd ? EndGrows(share) : GapGrows, 2);
            offset2 += grows2 * Variance(from, x, _ => 1.0 / n);
            slope2 += grows2 * Variance(from, x, mm => (mm - mid) / sxx);
            rms2 += Math.Pow((isEnd ? EndShare : GapShare) * share, 2);
        }
        double pull = EndPullMm2 / length, rms = Hypot(rmsMm * Math.Sqrt(rms2), 0.5 * pull);
        return new UnseenPart(Hypot(rmsMm * Math.Sqrt(offset2), 0.6 * pull), Hypot(rmsMm * Math.Sqrt(slope2), pull / length), rms, Hypot(2 * rms, PeakShare * totalMm));
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

    /// <summary>How much more a gap may hide than deviations like those seen beside it.</summary>
    private const double GapGrows = 1.2;

    /// <summary>An unseen end lies farther from the line fitted to the rest than the rest itself does, the more so the longer it is.</summary>
    private static double EndGrows(double share) => 1.3 / Math.Pow(1 - share, 2.2);

    private static double Hypot(double a, double b) => Math.Sqrt(a * a + b * b);
}
