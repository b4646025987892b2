using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>Finds the seam's course in a side's band: first the parabola with most energy, then a robust sub-millimetre fit of every position.</summary>
internal static class SideFit
{
    /// <summary>Positions looked at along a side, about, and the number of courses below which each is summed by itself.</summary>
    private const int Looks = 60, FewCourses = 2000;

    /// <summary>Two seams of one side are told apart from this distance on, mm.</summary>
    private const double ApartMm = 0.8;

    /// <summary>Courses nearer to each other than this run together; courses that stray to both sides of each other by more than this cross, mm.</summary>
    private const double TogetherMm = 0.4, CrossedMm = 0.1;

    /// <summary>Share of a side that two seams may run together; how far to both sides of another one reaches that lies across it, mm; and least energy away from it, as a share of the whole.</summary>
    private const double MostTogether = 0.25, AcrossMm = 1.5, AwayShare = 0.7;

    /// <summary>How far from another seam one reaches at an end that runs out from it, mm; and least energy of any part of its way, as a share of the whole.</summary>
    private const double RunsOutMm = 2.5, EvenShare = 0.65;

    /// <summary>A seam beside another is as strong from this share of its energy on; one across it is a rival from this share on.</summary>
    public const double AsStrong = 0.7, Rival = 0.8;

    /// <summary>One that runs out from it is a seam of its own from this share of its energy on.</summary>
    private const double RivalOut = 0.6;

    /// <summary>What a millimetre of bow costs: a straight seam is preferred to one that swings over to its neighbour.</summary>
    private const double BowCost = 0.5, SeamPull = 0.1, BowStepMm = 0.3;

    /// <summary>Where a seam was chosen its course is looked for again within this, at its ends and in its bow, mm.</summary>
    private const double KnownReachMm = 0.6;

    /// <summary>Bow allowed, as a share of the side: a lens bends a side by at most about this.</summary>
    private const double MostBowShare = 0.008;

    /// <summary>Standard uncertainty of where the ditch lies in its own profile (fold, shadow, thread), mm. Checked against rendered truth in the bench.</summary>
    public const double DitchUMm = 0.08;

    /// <param name="reachMm">How far the seam may lie from the assumed side, mm.</param>
    /// <param name="clearMm">How near the nearest other seam as strong runs.</param>
    /// <param name="bowMm">The seam's bow where one was chosen before (NaN where not): the seam is then looked for close by.</param>
    public static SideCourse? Fit(SideStrip strip, double lengthMm, double reachMm, double pullPerMm, bool isStraight, double bowMm = double.NaN, double clearMm = double.PositiveInfinity)
    {
        if (strip.Inside.Count(inside => inside) < 12) return null;
        int every = Every(strip);
        float[] energy = SeamEnergy.Compressed(strip, every);
        bool known = !double.IsNaN(bowMm);
        double most = known ? KnownReachMm : isStraight ? 0 : Math.Max(BowStepMm, MostBowShare * lengthMm);
        Scanned all = Scan(strip, energy, lengthMm, known ? KnownReachMm : reachMm, pullPerMm, known ? bowMm : 0, most);
        int best = known ? all.Nearest() : all.Best();
        double mean = 0;
        for (int i = 0; i < energy.Length; i++) mean += energy[i];
        mean /= (double)((strip.Count + every - 1) / every) * strip.Across;
        return SeamProfile.Refine(strip, all.Path(best), lengthMm, all.Energy(best) - mean, clearMm, known);
    }

    private static int Every(SideStrip strip) => Math.Max(1, strip.Count / Looks);

    /// <summary>Seams within reach that stand out from what lies beside them, strongest first: mean energy, course, and whether a rival seam lies across it.</summary>
    public static List<(double Energy, double[] Path, bool IsCrossed)> Seams(SideStrip strip, double lengthMm, double reachMm, int most)
    {
        if (strip.Inside.Count(inside => inside) < 12) return [];
        int every = Every(strip);
        float[] energy = SeamEnergy.Compressed(strip, every);
        int[] looks = [.. Enumerable.Range(0, strip.Count).Where(i => i % every == 0 && strip.Inside[i])];
        double[] s = [.. looks.Select(i => 2 * strip.AlongMm(i) / lengthMm - 1)];
        Scanned all = Scan(strip, energy, lengthMm, reachMm, SeamPull, 0, Math.Max(BowStepMm, MostBowShare * lengthMm));
        var kept = new List<(double Energy, double[] Path, bool IsCrossed)>();
        foreach ((double mean, double[] path) in all.Peaks().Select(p => (all.Energy(p), all.Path(p))).OrderByDescending(p => p.Item1))
        {
            if (kept.Count == most) break;
            if (kept.Any(k => Apart(k.Path, path) < ApartMm)) continue;
            int[] met = [.. Enumerable.Range(0, kept.Count).Where(i => Meet(kept[i].Path, path, s))];
            if (met.All(i => mean > RivalOut * kept[i].Energy && RunsOutFrom(strip, energy, looks, s, path, kept[i].Path))) kept.Add((mean, path, false));
            else if (kept[met[0]] is (double strength, double[] other, false) && mean > Rival * strength && LiesAcross(strip, energy, looks, s, path, other)) kept[met[0]] = kept[met[0]] with { IsCrossed = true };
        }
        return kept;
    }

    /// <summary>Whether two courses change sides or share a part of their way. Cloth's seams do neither: the weaker of the two is a chord of the other's bow, or swings from one seam over to the next.</summary>
    private static bool Meet(double[] a, double[] b, double[] s)
    {
        double[] gaps = [.. s.Select(x => SideCourse.At(a, x) - SideCourse.At(b, x))];
        return gaps.Count(g => Math.Abs(g) < TogetherMm) > MostTogether * gaps.Length || (gaps.Min() < -CrossedMm && gaps.Max() > CrossedMm);
    }

    /// <summary>Whether a course reaches far to both sides of another and is a seam away from it too, as where a ruler lies across a ditch.</summary>
    private static bool LiesAcross(SideStrip strip, float[] energy, int[] looks, double[] s, double[] path, double[] other)
    {
        double[] gaps = Gaps(s, path, other);
        if (gaps.Min() > -AcrossMm || gaps.Max() < AcrossMm) return false;
        double[] here = Along(strip, energy, looks, s, path);
        return here.Where((_, k) => Math.Abs(gaps[k]) >= TogetherMm).Average() > AwayShare * here.Average();
    }

    /// <summary>Whether a course leads far away from another to one side and is a seam all the way, as where a printed stripe runs out from under the block's cloth: both are seams. A course that swings over to a second seam is none between the two.</summary>
    private static bool RunsOutFrom(SideStrip strip, float[] energy, int[] looks, double[] s, double[] path, double[] other)
    {
        const int parts = 6;
        double[] gaps = Gaps(s, path, other);
        if (Math.Max(-gaps.Min(), gaps.Max()) < RunsOutMm || Math.Min(-gaps.Min(), gaps.Max()) >= AcrossMm) return false;
        double[] here = Along(strip, energy, looks, s, path);
        return here.Chunk((here.Length + parts - 1) / parts).Min(part => part.Average()) > EvenShare * here.Average();
    }

    private static double[] Gaps(double[] s, double[] path, double[] other) => [.. s.Select(x => SideCourse.At(path, x) - SideCourse.At(other, x))];

    /// <summary>Energy at every place looked at along a course.</summary>
    private static double[] Along(SideStrip strip, float[] energy, int[] looks, double[] s, double[] path) =>
        [.. looks.Select((i, k) => (int)Math.Round((strip.Across - 1) / 2.0 + SideCourse.At(path, s[k]) / strip.AcrossStepMm) is int place && (uint)place < (uint)strip.Across ? energy[i * strip.Across + place] : 0.0)];

    /// <summary>Largest distance of two courses at their ends and in the middle, mm.</summary>
    private static double Apart(double[] a, double[] b) =>
        new[] { -1.0, 0, 1 }.Max(s => Math.Abs(a[0] - b[0] + s * (a[1] - b[1]) + (s * s - 1 / 3.0) * (a[2] - b[2])));

    /// <summary>Scores of courses by offset at the start, offset at the end, and bow.</summary>
    private sealed class Scanned(double stepMm, int reach, double midBowMm, int bows, double pullPerMm)
    {
        private readonly int _wide = 2 * reach + 1, _deep = 2 * bows + 1;

        public float[] Scores { get; } = new float[(2 * reach + 1) * (2 * reach + 1) * (2 * bows + 1)];

        public double[] Path(int at)
        {
            double e0 = (at / _deep / _wide - reach) * stepMm, e1 = (at / _deep % _wide - reach) * stepMm, c2 = midBowMm + (at % _deep - bows) * BowStepMm;
            return [(e0 + e1) / 2 - c2 * 2 / 3, (e1 - e0) / 2, c2];
        }

        /// <summary>What distance from the assumed side and bow cost: a mean over start, middle and end, so that a seam may not swing away between its ends.</summary>
        public double Cost(double e0, double e1, double c2) =>
            pullPerMm * (Math.Abs(e0) + Math.Abs(e1) + 4 * Math.Abs((e0 + e1) / 2 - c2 + midBowMm)) / 6 + BowCost * Math.Abs(c2 - midBowMm);

        public double Energy(int at)
        {
            double[] path = Path(at);
            double ends = path[0] + path[2] * 2 / 3;
            return Scores[at] + Cost(ends - path[1], ends + path[1], path[2]);
        }

        public int Best()
        {
            int best = 0;
            for (int i = 1; i < Scores.Length; i++)
                if (Scores[i] > Scores[best]) best = i;
            return best;
        }

        /// <summary>The course nearest to the assumed one of those no neighbour of which is better; the assumed one where there is none.</summary>
        public int Nearest()
        {
            double Far(int at) => Math.Abs(at / _deep / _wide - reach) + Math.Abs(at / _deep % _wide - reach) + Math.Abs(at % _deep - bows);
            List<int> peaks = Peaks();
            return peaks.Count > 0 ? peaks.MinBy(Far) : ((reach * _wide) + reach) * _deep + bows;
        }

        /// <summary>Courses no neighbour of which is better, best first; not at the rim, where one does not know.</summary>
        public List<int> Peaks()
        {
            var peaks = new List<int>();
            for (int i = 0; i < Scores.Length; i++)
                if (i / _deep / _wide is int a && i / _deep % _wide is int b && a > 0 && b > 0 && a < _wide - 1 && b < _wide - 1 && IsPeak(i / _deep / _wide, i / _deep % _wide, i % _deep, Scores[i])) peaks.Add(i);
            peaks.Sort((p, q) => Scores[q].CompareTo(Scores[p]));
            return peaks;
        }

        private bool IsPeak(int first, int last, int bow, float score)
        {
            for (int a = Math.Max(0, first - 1); a <= Math.Min(_wide - 1, first + 1); a++)
                for (int b = Math.Max(0, last - 1); b <= Math.Min(_wide - 1, last + 1); b++)
                    for (int c = Math.Max(0, bow - 1); c <= Math.Min(_deep - 1, bow + 1); c++)
                        if (Scores[(a * _wide + b) * _deep + c] > score) return false;
            return true;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static Scanned Scan(SideStrip strip, float[] energy, double lengthMm, double reachMm, double pullPerMm, double midBowMm, double mostBowMm)
    {
        int n = strip.Count, m = strip.Across;
        double step = Math.Max(0.2, strip.AcrossStepMm);
        int reach = (int)Math.Floor(reachMm / step + 1e-9), bows = (int)Math.Floor(mostBowMm / BowStepMm + 1e-9), wide = 2 * reach + 1, deep = 2 * bows + 1;
        int skip = Every(strip);
        int[] at = [.. Enumerable.Range(0, n).Where(i => i % skip == 0 && strip.Inside[i])];
        double[] s = [.. at.Select(i => 2 * strip.AlongMm(i) / lengthMm - 1)];
        double centre = (m - 1) / 2.0, perMm = 1 / strip.AcrossStepMm;
        var all = new Scanned(step, reach, midBowMm, bows, pullPerMm);
        CourseSums? sums = at.Length < 2 || wide * wide * deep < FewCourses ? null : new CourseSums(energy, m, strip.AcrossStepMm, at, s, reachMm + 2 * mostBowMm + 2 * Math.Abs(midBowMm));
        Parallel.For(-reach, reach + 1, first => From(first));
        return all;

        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        float Mean(double c0, double c1, double c2)
        {
            float sum = 0;
            for (int k = 0; k < at.Length; k++)
            {
                int a = (int)(centre + perMm * (c0 + c1 * s[k] + c2 * (s[k] * s[k] - 1 / 3.0)) + 0.5);
                if ((uint)a < (uint)m) sum += energy[at[k] * m + a];
            }
            return sum / at.Length;
        }

        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        void From(int first)
        {
            for (int last = -reach; last <= reach; last++)
                for (int bow = -bows; bow <= bows; bow++)
                {
                    double e0 = first * step, e1 = last * step, c2 = midBowMm + bow * BowStepMm;
                    double c1 = (e1 - e0) / 2, c0 = (e0 + e1) / 2 - c2 * 2 / 3;
                    float mean = sums?.Along(c0, c1, c2) ?? Mean(c0, c1, c2);
                    all.Scores[((first + reach) * wide + last + reach) * deep + bow + bows] = mean - (float)all.Cost(e0, e1, c2);
                }
        }
    }
}
