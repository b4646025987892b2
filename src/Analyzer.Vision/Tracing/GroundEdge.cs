using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Where a trace runs along the edge between two grounds and not along a thread: the rim of something that lies on the block (scissors, a clip, a hand) and hides the thread. The one side is then so much more like
/// the thread than the other that the line itself does not stand out from it, neither from the ground farther off nor from what is close beside it.
/// </summary>
internal static class GroundEdge
{
    /// <summary>How far from the line the grounds are compared, and how far what is close beside it, mm.</summary>
    private const double FromMm = 0.8, ToMm = 1.6, CloseFromMm = 0.33, CloseToMm = 0.5;

    /// <summary>Nearer to the block's edge the ditch, or the other cloth, is on one side, mm.</summary>
    private const double DitchMm = ToMm + 0.5;

    /// <summary>What a place is averaged over along the line, to either side; how long an edge is at least; and how far beyond it the trace is still drawn aside, mm.</summary>
    private const double AverageMm = 1.5, LeastMm = 4, BeyondMm = 3;

    /// <summary>The step from side to side, at least, and what the line stands out from the side that is more like it, at most, in shares of the thread's usual height over the ground; what stands out by more than the last counts for no more.</summary>
    private const double LeastStep = 0.8, MostOver = 0.15, Most = 1.5;

    /// <summary>On mottled or printed cloth the two sides differ anywhere: how many times the line's usual step an edge is at least.</summary>
    private const double UsualSteps = 6;

    /// <summary>A line that is like that along more of what was traced is another kind of line as a whole (along a stripe or a seam), and judged as such elsewhere.</summary>
    private const double MostShare = 0.5;

    /// <summary>A line without what was traced along such edges.</summary>
    /// <param name="strip">The photo straightened about the line.</param>
    /// <param name="line">The line as traced in it.</param>
    /// <param name="grid">What was meant to be sewn.</param>
    public static TracedLine Without(ProjectedStrip strip, TracedLine line, IntendedGrid grid)
    {
        // The mean profile's middle over the ground. A whole furrow is as high as its shadow, and not as the thread.
        double height = line.PeakHeight / line.PeakShare;
        if (line.IsFurrow || line.AlongMm.Length < 2 || !(height > 0)) return line;
        double[] centreMm = strip.Strip.CentreOf(line);
        bool[] traced = Traced(line, centreMm.Length), isEdge = IsEdge(strip, centreMm, traced, height, grid);
        int n = isEdge.Length, total = 0, beyond = Steps(BeyondMm);
        var aside = new bool[n];
        for (int i = 0; i < n; i++)
        {
            int first = i;
            while (i < n && isEdge[i]) i++;
            if (i - first < Steps(LeastMm)) continue;
            total += i - first;
            int from = Math.Max(0, first - beyond);
            Array.Fill(aside, true, from, Math.Min(n, i + beyond) - from);
        }
        return total == 0 || total > MostShare * traced.Count(t => t) ? line : line.Only([.. line.AlongMm.Select(s => !IsAside(s))]) with { HiddenMm = [.. line.PossibleMm.Where(IsAside)] };

        bool IsAside(double s) => aside[Math.Min(n - 1, Steps(s))];
    }

    /// <summary>Steps with a sample within a millimetre.</summary>
    private static bool[] Traced(TracedLine line, int steps)
    {
        var traced = new bool[steps];
        foreach (double s in line.AlongMm)
        {
            int from = Math.Max(0, Steps(s - 1)), to = Math.Min(steps, Steps(s + 1));
            if (to > from) Array.Fill(traced, true, from, to - from);
        }
        return traced;
    }

    private static bool[] IsEdge(ProjectedStrip strip, double[] centreMm, bool[] traced, double height, IntendedGrid grid)
    {
        int n = centreMm.Length, across = strip.Strip.Across, far = Across(ToMm);
        GridLine intended = strip.Strip.Line;
        LineFamily family = grid.Families[intended.Family];
        bool[] crossed = OtherLine.Near(strip.Others, n, ThreadStrip.AlongStepMm, o => (0.5 + ToMm * Math.Abs(o.AlongPart)) / Math.Abs(o.AcrossPart));
        // All as seen from the line: how much more like the thread the ground is on either side, and the more alike of what is close beside it.
        double[] left = new double[n], right = new double[n], close = new double[n], free = new double[n];
        for (int i = 0; i < n; i++)
        {
            int middle = strip.Strip.Middle + (int)Math.Round(centreMm[i] / ThreadStrip.AcrossStepMm);
            double along = i * ThreadStrip.AlongStepMm, beside = strip.Strip.PathMm[i] + centreMm[i];
            if (!traced[i] || crossed[i] || middle < far || middle + far >= across
                || grid.Size.EdgeDistanceMm(family.At(family.Along(intended.From) + along, family.Across(intended.From) + beside)) < DitchMm) continue;
            float[] projected = strip.Projected;
            int row = i * across + middle;
            double line = Mean(projected, row - 1, row + 1);
            free[i] = 1;
            left[i] = Over(Mean(projected, row - far, row - Across(FromMm)));
            right[i] = Over(Mean(projected, row + Across(FromMm), row + far));
            close[i] = Math.Max(Over(Mean(projected, row - Across(CloseToMm), row - Across(CloseFromMm))), Over(Mean(projected, row + Across(CloseFromMm), row + Across(CloseToMm))));

            double Over(double ground) => Math.Clamp((ground - line) / height, -Most, Most);
        }
        int half = Steps(AverageMm);
        double[] l = MovingSum.Of(left, half), r = MovingSum.Of(right, half), c = MovingSum.Of(close, half), count = MovingSum.Of(free, half);
        bool[] seen = [.. count.Select(k => k >= half)];
        double[] step = [.. Enumerable.Range(0, n).Select(i => seen[i] ? Math.Abs(l[i] - r[i]) / count[i] : 0)];
        double least = Math.Max(LeastStep, UsualSteps * UpperMedian.Of(step.Where((_, i) => seen[i])));
        return [.. Enumerable.Range(0, n).Select(i => seen[i] && step[i] > least && Math.Max(l[i], r[i]) > -MostOver * count[i] && c[i] > -MostOver * count[i])];
    }

    private static int Steps(double mm) => (int)Math.Round(mm / ThreadStrip.AlongStepMm);

    private static int Across(double mm) => (int)Math.Round(mm / ThreadStrip.AcrossStepMm);

    private static double Mean(float[] values, int from, int to)
    {
        float sum = 0;
        for (int i = from; i <= to; i++) sum += values[i];
        return sum / (to - from + 1);
    }
}
