using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>Finds the seam's course in a side's band: first the parabola with most energy, then a robust sub-millimetre fit of every position.</summary>
internal static class SideFit
{
    /// <summary>Bow allowed, as a share of the side: a lens bends a side by at most about this.</summary>
    private const double MostBowShare = 0.008;

    /// <summary>Standard uncertainty of where the ditch lies in its own profile (fold, shadow, thread), mm. Checked against rendered truth in the bench.</summary>
    public const double DitchUMm = 0.08;

    public static SideCourse? Fit(SideStrip strip, double lengthMm, double reachMm, double pullPerMm, bool isStraight)
    {
        int usable = strip.Inside.Count(inside => inside);
        if (usable < 12) return null;
        float[] energy = SeamEnergy.Of(strip);
        double[] path = BestParabola(strip, energy, lengthMm, reachMm, pullPerMm, isStraight, out double strength);
        return SeamProfile.Refine(strip, path, lengthMm, strength);
    }

    /// <summary>Scans offset at both ends and the bow for the greatest mean energy.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static double[] BestParabola(SideStrip strip, float[] energy, double lengthMm, double reachMm, double pullPerMm, bool isStraight, out double strength)
    {
        int n = strip.Count, m = strip.Across;
        double step = Math.Max(0.2, strip.AcrossStepMm), mostBow = Math.Max(0.3, MostBowShare * lengthMm);
        int reach = (int)Math.Floor(reachMm / step), bows = isStraight ? 0 : (int)Math.Floor(mostBow / 0.3);
        int skip = Math.Max(1, n / 60);
        int[] at = [.. Enumerable.Range(0, n).Where(i => i % skip == 0 && strip.Inside[i])];
        double[] s = [.. at.Select(i => 2 * strip.AlongMm(i) / lengthMm - 1)];
        double centre = (m - 1) / 2.0, perMm = 1 / strip.AcrossStepMm;
        (double Score, double[] Path) best = (double.NegativeInfinity, [0, 0, 0]);
        object gate = new();
        Parallel.For(-reach, reach + 1, first => Scan(first));

        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        void Scan(int first)
        {
            (double Score, double[] Path) mine = (double.NegativeInfinity, [0, 0, 0]);
            for (int last = -reach; last <= reach; last++)
                for (int bow = -bows; bow <= bows; bow++)
                {
                    double e0 = first * step, e1 = last * step, c2 = bow * 0.3;
                    double c1 = (e1 - e0) / 2, c0 = (e0 + e1) / 2 - c2 * 2 / 3;
                    double sum = 0;
                    for (int k = 0; k < at.Length; k++)
                    {
                        int a = (int)(centre + perMm * (c0 + c1 * s[k] + c2 * (s[k] * s[k] - 1 / 3.0)) + 0.5);
                        if ((uint)a < (uint)m) sum += energy[at[k] * m + a];
                    }
                    double score = sum / at.Length - pullPerMm * (Math.Abs(e0) + Math.Abs(e1)) / 2 - 0.15 * Math.Abs(c2);
                    if (score > mine.Score) mine = (score, [c0, c1, c2]);
                }
            lock (gate)
                if (mine.Score > best.Score) best = mine;
        }

        double mean = 0;
        for (int i = 0; i < energy.Length; i++) mean += energy[i];
        double pull = pullPerMm * (Math.Abs(best.Path[0] - best.Path[1]) + Math.Abs(best.Path[0] + best.Path[1])) / 2;
        strength = best.Score + pull - mean / energy.Length;
        return best.Path;
    }
}
