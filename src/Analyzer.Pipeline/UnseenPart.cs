using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>What the unseen millimetres of a line (its ends at the ditch, gaps) may hide of its reference line and straightness.</summary>
/// <remarks>
/// The line wobbles unseen as much as it does where it was seen. Offset and slope are linear in the samples; each unseen run moves them by the sum of its
/// weights times one deviation of the size of the line's own r.m.s. (one deviation, not one a sample: a run is mostly shorter than the wobble).
/// </remarks>
internal readonly record struct UnseenPart(double OffsetUMm, double SlopeU, double RmsUMm)
{
    public static UnseenPart Of(TracedLine traced, double rmsMm)
    {
        double length = traced.Line.LengthMm, mid = length / 2;
        int n = Math.Max(2, (int)Math.Floor(length));
        double sxx = Enumerable.Range(0, n + 1).Sum(x => (x - mid) * (x - mid));
        var seen = new HashSet<int>(traced.AlongMm.Select(x => (int)Math.Round(x)));
        double offset = 0, slope = 0, runOffset = 0, runSlope = 0;
        int unseen = 0;
        for (int x = 0; x <= n + 1; x++)
        {
            if (x <= n && !seen.Contains(x))
            {
                unseen++;
                runOffset += 1.0 / (n + 1);
                runSlope += (x - mid) / sxx;
                continue;
            }
            offset += runOffset * runOffset;
            slope += runSlope * runSlope;
            (runOffset, runSlope) = (0, 0);
        }
        double share = (double)unseen / (n + 1);
        return new UnseenPart(rmsMm * Math.Sqrt(offset), rmsMm * Math.Sqrt(slope), 0.5 * rmsMm * Math.Sqrt(share));
    }
}
