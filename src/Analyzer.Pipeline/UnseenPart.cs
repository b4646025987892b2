using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>What the unseen millimetres of a line (its ends at the ditch, gaps) may hide of its reference line and straightness.</summary>
/// <remarks>
/// The line wobbles unseen as much as it does where it was seen. Offset and slope are linear in the samples; each unseen run moves them by the sum of its
/// weights times one deviation of the size of the line's own r.m.s. (one deviation, not one a sample: a run is mostly shorter than the wobble).
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

    public static UnseenPart Of(WholeThread thread, double rmsMm, double totalMm)
    {
        TracedLine line = thread.Line;
        double length = line.Line.LengthMm, mid = (thread.FirstMm + thread.LastMm) / 2.0;
        int n = Math.Max(2, thread.LastMm - thread.FirstMm + 1);
        double sxx = Enumerable.Range(0, n).Sum(x => Math.Pow(thread.FirstMm + x - mid, 2));
        var seen = new HashSet<int>(line.AlongMm.Select(x => (int)Math.Round(x)));
        double offset = 0, slope = 0, runOffset = 0, runSlope = 0;
        int unseen = 0;
        for (int x = thread.FirstMm; x <= thread.LastMm + 1; x++)
        {
            if (x <= thread.LastMm && !seen.Contains(x))
            {
                unseen++;
                runOffset += 1.0 / n;
                runSlope += (x - mid) / sxx;
                continue;
            }
            offset += runOffset * runOffset;
            slope += runSlope * runSlope;
            (runOffset, runSlope) = (0, 0);
        }
        double share = (double)unseen / n, pull = EndPullMm2 / length, rms = Hypot(rmsMm * Math.Min(0.35 * Math.Sqrt(share), 0.8 * share), 0.5 * pull);
        return new UnseenPart(Hypot(rmsMm * Math.Sqrt(offset), 0.6 * pull), Hypot(rmsMm * Math.Sqrt(slope), pull / length), rms, Hypot(2 * rms, PeakShare * totalMm));
    }

    private static double Hypot(double a, double b) => Math.Sqrt(a * a + b * b);
}
