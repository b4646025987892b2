namespace Analyzer.Vision.Tracing;

/// <summary>
/// Takes off a trace what is not the thread any more: where the thread was lost to sight (dark print, a crossing seam) the path holds on to whatever lies
/// nearest, and short seen pieces remain beyond the gap, far beside the line's own course. Nothing is put in their place: the thread was not seen there.
/// </summary>
internal static class StrayParts
{
    /// <summary>From this far apart, two seen samples have a gap between them; from the second on, the samples beside it are looked at closely, mm.</summary>
    private const double GapMm = 2.5, WideGapMm = 4;

    /// <summary>A sideways step from one millimetre to the next from which a trace breaks: this many of the line's usual steps, and at least this, mm.</summary>
    private const double UsualSteps = 8, LeastStepMm = 0.45;

    /// <summary>A thread guided by hand moves sideways across a gap by no more than this and this share of the gap, and by no more than the limit, mm.</summary>
    private const double JumpMm = 0.3, JumpShare = 0.1, LargestJumpMm = 1;

    /// <summary>Shorter pieces than these are judged: the short ones by the jump, the middling ones by twice the jump; mm.</summary>
    private const double ShortMm = 6, MiddlingMm = 20;

    /// <summary>Samples beside a wide gap whose uncertainty is this many times the line's usual were drawn aside by what hides the thread.</summary>
    private const double DrawnAside = 1.8;

    private const int DrawnSamples = 3;

    public static TracedLine Without(TracedLine line)
    {
        List<(int First, int Last)> runs = Runs(line.AlongMm, line.DeviationMm);
        if (runs.Count < 2) return line;
        double[] x = line.AlongMm, y = line.DeviationMm;
        if (Island(runs, x, y) is { } island) runs.RemoveAt(island);
        if (runs.Count < 2) return Only(runs);
        int body = Enumerable.Range(0, runs.Count).MaxBy(k => x[runs[k].Last] - x[runs[k].First]);
        var kept = new List<(int First, int Last)> { runs[body] };
        foreach (int way in new[] { -1, 1 })
        {
            (int First, int Last) before = runs[body];
            for (int k = body + way; k >= 0 && k < runs.Count; k += way)
            {
                (int First, int Last) run = runs[k];
                int from = way > 0 ? before.Last : before.First, to = way > 0 ? run.First : run.Last;
                double gap = Math.Abs(x[to] - x[from]), length = x[run.Last] - x[run.First];
                double allowed = Math.Min(LargestJumpMm, JumpMm + JumpShare * gap) * (length < ShortMm ? 1 : 2);
                if (length < MiddlingMm && Math.Abs(y[to] - y[from]) > allowed) continue;
                kept.Add(run);
                before = run;
            }
        }
        kept.Sort();
        double usual = UpperMedian.Of(line.SigmaMm);
        for (int k = 0; k + 1 < kept.Count; k++)
        {
            if (x[kept[k + 1].First] - x[kept[k].Last] < WideGapMm) continue;
            kept[k] = (kept[k].First, Trimmed(kept[k].Last, -1, kept[k].First));
            kept[k + 1] = (Trimmed(kept[k + 1].First, 1, kept[k + 1].Last), kept[k + 1].Last);
        }
        return Only(kept);

        TracedLine Only(List<(int First, int Last)> parts)
        {
            var keep = new bool[x.Length];
            foreach ((int first, int last) in parts) Array.Fill(keep, true, first, last - first + 1);
            return line.Only(keep);
        }

        int Trimmed(int at, int way, int end)
        {
            for (int n = 0; n < DrawnSamples && at != end && line.SigmaMm[at] > DrawnAside * usual; n++) at += way;
            return at;
        }
    }

    /// <summary>
    /// A long piece in the middle that stands off the pieces before and after it, which fit together and are longer: another thread that runs beside the line.
    /// </summary>
    private static int? Island(List<(int First, int Last)> runs, double[] x, double[] y)
    {
        for (int k = 1; k + 1 < runs.Count; k++)
        {
            ((int First, int Last) before, (int First, int Last) own, (int First, int Last) after) = (runs[k - 1], runs[k], runs[k + 1]);
            double length = x[own.Last] - x[own.First], beside = x[before.Last] - x[before.First] + x[after.Last] - x[after.First];
            if (length >= MiddlingMm && length < beside && Leaps(before.Last, own.First) && Leaps(own.Last, after.First) && !Leaps(before.Last, after.First)) return k;
        }
        return null;

        bool Leaps(int from, int to) => Math.Abs(y[to] - y[from]) > 2 * Math.Min(LargestJumpMm, JumpMm + JumpShare * (x[to] - x[from]));
    }

    private static List<(int First, int Last)> Runs(double[] x, double[] y)
    {
        double usual = UpperMedian.Of(Enumerable.Range(1, Math.Max(0, x.Length - 1)).Select(i => Math.Abs(y[i] - y[i - 1]) / (x[i] - x[i - 1])));
        double steepest = Math.Max(LeastStepMm, UsualSteps * usual);
        var runs = new List<(int, int)>();
        for (int i = 0; i < x.Length;)
        {
            int first = i;
            while (i + 1 < x.Length && x[i + 1] - x[i] < GapMm && Math.Abs(y[i + 1] - y[i]) < steepest * (x[i + 1] - x[i])) i++;
            runs.Add((first, i++));
        }
        return runs;
    }
}
