using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Where a trace runs along the edge between two grounds and not along a thread: the rim of something that lies on the block (scissors, a clip, a hand) and hides the thread. The one side is then so much more like
/// the thread than the other that the line itself does not stand out from it.
/// </summary>
internal static class GroundEdge
{
    /// <summary>How far from the line the grounds are compared, mm.</summary>
    private const double FromMm = 0.8, ToMm = 1.6;

    /// <summary>Nearer to the block's edge the ditch, or the other cloth, is on one side, mm.</summary>
    private const double DitchMm = ToMm + 0.5;

    /// <summary>What a place is averaged over along the line, to either side; how long an edge is at least; and how far beyond it the trace is still drawn aside, mm.</summary>
    private const double AverageMm = 1.5, LeastMm = 4, BeyondMm = 3;

    /// <summary>The step from side to side, at least, and what the line stands out from the side that is more like it, at most, in shares of the thread's usual height over the ground.</summary>
    private const double LeastStep = 0.6, MostOver = 0.15;

    /// <summary>On mottled or printed cloth the two sides differ anywhere: how many times the line's usual step an edge is at least.</summary>
    private const double UsualSteps = 6;

    /// <summary>A line that is like that along more of its length is another kind of line as a whole (along a stripe or a seam), and judged as such elsewhere.</summary>
    private const double MostShare = 0.5;

    /// <summary>A line without what was traced along such edges.</summary>
    /// <param name="strip">The photo straightened about the line.</param>
    /// <param name="line">The line as traced in it.</param>
    /// <param name="grid">What was meant to be sewn.</param>
    public static TracedLine Without(ProjectedStrip strip, TracedLine line, IntendedGrid grid)
    {
        // A whole furrow is as high as its shadow, and not as the thread.
        double height = line.PeakHeight / line.PeakShare;
        if (line.IsFurrow || line.AlongMm.Length < 2 || !(height > 0)) return line;
        bool[] isEdge = IsEdge(strip, strip.Strip.CentreOf(line), height, grid);
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
        return total == 0 || total > MostShare * n ? line : line.Only([.. line.AlongMm.Select(s => !IsAside(s))]) with { HiddenMm = [.. line.PossibleMm.Where(IsAside)] };

        bool IsAside(double s) => aside[Math.Min(n - 1, Steps(s))];
    }

    private static bool[] IsEdge(ProjectedStrip strip, double[] centreMm, double height, IntendedGrid grid)
    {
        int n = centreMm.Length, across = strip.Strip.Across, near = (int)Math.Round(FromMm / ThreadStrip.AcrossStepMm), far = (int)Math.Round(ToMm / ThreadStrip.AcrossStepMm);
        GridLine intended = strip.Strip.Line;
        LineFamily family = grid.Families[intended.Family];
        bool[] crossed = OtherLine.Near(strip.Others, n, ThreadStrip.AlongStepMm, o => (0.5 + ToMm * Math.Abs(o.AlongPart)) / Math.Abs(o.AcrossPart));
        double[] left = new double[n], right = new double[n], line = new double[n], free = new double[n];
        for (int i = 0; i < n; i++)
        {
            int middle = strip.Strip.Middle + (int)Math.Round(centreMm[i] / ThreadStrip.AcrossStepMm);
            double along = i * ThreadStrip.AlongStepMm, beside = strip.Strip.PathMm[i] + centreMm[i];
            var place = new BlockPoint(intended.From.Xmm + family.AlongX * along + family.AcrossX * beside, intended.From.Ymm + family.AlongY * along + family.AcrossY * beside);
            if (crossed[i] || middle < far || middle + far >= across || grid.Size.EdgeDistanceMm(place) < DitchMm) continue;
            ReadOnlySpan<float> row = strip.Projected.AsSpan(i * across, across);
            free[i] = 1;
            left[i] = Mean(row[(middle - far)..(middle - near + 1)]);
            right[i] = Mean(row[(middle + near)..(middle + far + 1)]);
            line[i] = Mean(row[(middle - 1)..(middle + 2)]);
        }
        int half = Steps(AverageMm);
        double[] l = MovingSum.Of(left, half), r = MovingSum.Of(right, half), m = MovingSum.Of(line, half), count = MovingSum.Of(free, half);
        bool[] seen = [.. count.Select(c => c >= half / 2.0)];
        double least = Math.Max(LeastStep * height, UsualSteps * UpperMedian.Of(Enumerable.Range(0, n).Where(i => seen[i]).Select(i => Math.Abs(l[i] - r[i]) / count[i])));
        return [.. Enumerable.Range(0, n).Select(i => seen[i] && Math.Abs(l[i] - r[i]) > least * count[i] && m[i] - Math.Max(l[i], r[i]) < MostOver * height * count[i])];
    }

    private static int Steps(double mm) => (int)Math.Round(mm / ThreadStrip.AlongStepMm);

    private static double Mean(ReadOnlySpan<float> values)
    {
        float sum = 0;
        foreach (float v in values) sum += v;
        return sum / values.Length;
    }
}
