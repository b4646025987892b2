using Analyzer.Core.Deviation;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Ends;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>
/// A traced line with the few millimetres that were not seen put in: its ends beside the ditch, and short gaps. The reference line and the straightness are those of the whole
/// thread; without its ends, where a wobbling line lies farthest off, a corner line of some centimetres is told several tenths of a degree wrong.
/// </summary>
/// <remarks>
/// An end goes on as the thread ran in its last millimetre, less and less so (from comparison with known truth of four unrelated photo makers, and less by as much of that run as is noise). A gap is bridged straight.
/// How unsure both are is tried out on the seen part of the same line. An end is put in as far as the thread itself goes (<see cref="ThreadEnd"/>).
/// </remarks>
/// <param name="Line">The samples with those put in; these have their neighbours' scatter, and what is unsure of them in their uncertainty.</param>
/// <param name="Chance">How likely there is thread at each sample: 1 where it was seen, unless it is more likely than not that the thread ended before.</param>
/// <param name="FirstMm">First whole millimetre that counts: where the thread begins, whether it was seen there or not.</param>
/// <param name="LastMm">Last whole millimetre that counts.</param>
internal sealed record WholeThread(TracedLine Line, double[] Chance, int FirstMm, int LastMm)
{
    /// <summary>Longest end and longest gap that are put in, mm.</summary>
    private const int LongestEndMm = 3, LongestGapMm = 5;

    /// <summary>Share of the thread's run that each next millimetre of an end keeps.</summary>
    private const double Keeps = 0.7;

    /// <summary>Uncertainty of an end's first, second and third millimetre where a line is too short to tell, mm; the typical one of the same photos.</summary>
    private static readonly double[] TypicalUMm = [0.05, 0.12, 0.2];

    public static WholeThread Of(TracedLine traced, LineDetails? details)
    {
        double[] along = traced.AlongMm, deviation = traced.DeviationMm;
        int n = along.Length, first = (int)Math.Round(along[0]), last = (int)Math.Round(along[^1]);
        double beyondLast = traced.Line.LengthMm - last;
        double keep = Keeps * SignalShare(traced);
        double[] endU = [.. Enumerable.Range(1, LongestEndMm).Select(k => EndU(along, deviation, keep, k))];
        LeastSquaresLine seen = LeastSquaresLine.Fit(along, deviation);
        List<double> at = [], value = [], sigma = [], scatter = [], chances = [];
        // Before the first sample, outward; put in from the outside.
        (double Mm, double Value, double U, double Chance)[] before = Beyond(-1, first, deviation[0], deviation[0] - deviation[1], along[1] - along[0], details?.Start);
        foreach ((double mm, double v, double u, double chance) in before.Reverse()) Put(mm, v, 0, u, chance);
        for (int i = 0; i < n; i++)
        {
            // Beyond the end that was read the net may have gone on by a millimetre or two.
            double there = Math.Max(LeastCounted, ChanceAt(traced.Line, along[i], details));
            if (there < 0.5) Put(along[i], deviation[i], i, Math.Sqrt((1 - there) / there) * (deviation[i] - seen.At(along[i])), there);
            else Put(along[i], deviation[i], i, 0);
            int gap = i + 1 < n ? (int)Math.Round(along[i + 1] - along[i]) : 1;
            if (gap is 1 or > LongestGapMm) continue;
            for (int k = 1; k < gap; k++)
                Put(along[i] + k, deviation[i] + (deviation[i + 1] - deviation[i]) * k / gap, i, endU[Math.Min(LongestEndMm, Math.Min(k, gap - k)) - 1] / 2);
        }
        (double Mm, double Value, double U, double Chance)[] after = Beyond(1, last, deviation[^1], deviation[^1] - deviation[^2], along[^1] - along[^2], details?.End);
        foreach ((double mm, double v, double u, double chance) in after) Put(mm, v, n - 1, u, chance);
        TracedLine whole = traced with { AlongMm = [.. at], DeviationMm = [.. value], SigmaMm = [.. sigma], ScatterMm = [.. scatter] };
        return new WholeThread(whole, [.. chances], FirstAt(first, before.Length, details?.Start), (int)traced.Line.LengthMm - FirstAt((int)traced.Line.LengthMm - last, after.Length, details?.End));

        // Too long to be put in: the thread goes on unseen, to the end that was read, which is near the ditch, or to the ditch.
        static int FirstAt(int beyondMm, int putIn, ThreadEnd? read) =>
            beyondMm > LongestEndMm ? Math.Clamp((int)Math.Round(-(read?.OvershootMm ?? 0)), 0, beyondMm) : beyondMm - putIn;

        void Put(double mm, double dev, int like, double u, double chance = 1)
        {
            chances.Add(chance);
            at.Add(mm);
            value.Add(dev);
            sigma.Add(TracedLine.Joined(traced.SigmaMm[like], u));
            scatter.Add(traced.ScatterMm[like]);
        }

        // Where it is unsure whether there is thread at all, a place counts by that chance.
        (double, double, double, double)[] Beyond(int side, int from, double end, double step, double stepMm, ThreadEnd? read)
        {
            double beyondMm = side < 0 ? from : beyondLast;
            if (beyondMm >= LongestEndMm + 1) return [];
            var places = new List<(double, double, double, double)>();
            for (int k = 1; k <= LongestEndMm && k <= beyondMm + 1e-9; k++)
            {
                double inside = beyondMm - k, chance = read is not null ? ChanceAt(inside, read) : NormalShare(inside / UnreadEndUMm);
                if (chance < LeastChance) break;
                double goesOn = end + Run(step, stepMm, keep, k), off = goesOn - seen.At(from + side * k);
                places.Add((from + side * k, goesOn, TracedLine.Joined(endU[k - 1], Math.Sqrt((1 - chance) / chance) * off), chance));
            }
            return [.. places];
        }
    }

    /// <summary>Where the thread's end was not read, it lies at the ditch, give or take this much, mm; and the least chance of thread at a place that is counted.</summary>
    private const double UnreadEndUMm = 0.7, LeastChance = 0.1;

    /// <summary>A place that was seen counts by so much at least.</summary>
    private const double LeastCounted = 1e-3;

    /// <summary>How likely there is thread at a place that was seen, by the line's ends as far as they were read.</summary>
    /// <remarks>Ends that leave hardly a stitch between them were not read rightly: all is 1 then.</remarks>
    public static double ChanceAt(GridLine line, double alongMm, LineDetails? details) =>
        line.LengthMm + (details?.Start?.OvershootMm ?? 0) + (details?.End?.OvershootMm ?? 0) < ShortestThreadMm ? 1 : Math.Min(ChanceAt(alongMm, details?.Start), ChanceAt(line.LengthMm - alongMm, details?.End));

    private const double ShortestThreadMm = 3;

    /// <summary>How likely there is thread so far inside the ditch, mm, by the end that was read; 1 where none was.</summary>
    private static double ChanceAt(double insideMm, ThreadEnd? read) => read is { } e ? NormalShare((insideMm + e.OvershootMm) / e.UMm) : 1;

    /// <summary>Normal distribution function, by the logistic one (0.01 off at most).</summary>
    private static double NormalShare(double z) => 1 / (1 + Math.Exp(-1.702 * z));

    /// <summary>How far the thread goes on aside within so many millimetres beyond its last sample.</summary>
    private static double Run(double step, double stepMm, double keep, int mm)
    {
        double sum = 0, share = 1;
        for (int k = 0; k < mm; k++) sum += share *= keep;
        return stepMm > 1.5 ? 0 : step * sum;
    }

    /// <summary>Share of the mean square step from sample to sample that is the thread's own run and not noise.</summary>
    private static double SignalShare(TracedLine t)
    {
        double square = 0, noise = 0;
        for (int i = 0; i + 1 < t.AlongMm.Length; i++)
        {
            double apart = t.AlongMm[i + 1] - t.AlongMm[i];
            if (apart > 1.5) continue;
            square += Math.Pow(t.DeviationMm[i + 1] - t.DeviationMm[i], 2);
            noise += 2 * t.ScatterMm[i] * t.ScatterMm[i + 1] * (1 - t.Noise.Rho(apart));
        }
        return square > 0 ? Math.Clamp(1 - noise / square, 0, 1) : 0;
    }

    /// <summary>Root mean square miss of an end put in so many millimetres beyond, tried out on the seen samples in both directions.</summary>
    private static double EndU(double[] along, double[] deviation, double keep, int mm)
    {
        const int fewest = 8;
        double sum = 0;
        int count = 0;
        for (int i = 0; i + mm + 1 < along.Length; i++)
        {
            int far = i + mm + 1;
            if (along[far] - along[i] > mm + 1.5) continue;
            double back = deviation[i] - deviation[i + mm] - Run(deviation[i + mm] - deviation[far], 1, keep, mm), ahead = deviation[far] - deviation[i + 1] - Run(deviation[i + 1] - deviation[i], 1, keep, mm);
            sum += back * back + ahead * ahead;
            count += 2;
        }
        return count < fewest ? TypicalUMm[mm - 1] : Math.Sqrt(sum / count);
    }
}
