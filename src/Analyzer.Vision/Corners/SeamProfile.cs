using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Analyzer.Core.Geometry;

namespace Analyzer.Vision.Corners;

/// <summary>Learns the seam's own colour profile from the whole side and finds its shift at every position by least squares.</summary>
/// <remarks>
/// Position i shows alpha·T(x - delta) + constant + slope·x; to first order alpha·T - alpha·delta·T', so delta is the ratio of two coefficients.
/// T is re-estimated three times. Where the ditch lies within T comes from a model of step and furrow about one centre, fitted once.
/// </remarks>
internal static class SeamProfile
{
    /// <summary>Seams sway about their bow by this, mm in every wave (standard deviation): what cloth and hand do to a seam that was meant straight. The corner lies where the seam ends, not where its mean course would.</summary>
    private const double SwayMm = 0.1;

    /// <summary>A profile reaches this share of the way to the next seam as strong, and never less far than this, mm.</summary>
    private const double ClearShare = 0.6, LeastHalfMm = 0.5;

    /// <summary>Terms that are followed in a seam not chosen before. The short waves beyond them are as high as the side itself shows them, from this up to the sway, mm.</summary>
    private const int FewTerms = 4;
    private const double LeastWaveMm = 0.005;

    /// <summary>Where the profile is not seen the seam lies along the path to within this (standard uncertainty, mm), so many neighbouring positions alike.</summary>
    private const double PathUMm = 0.3, PathAlike = 20;

    private const double HalfMm = 1.4, WeakShare = 0.35, MostShiftMm = 0.8, MostStrayMm = 1, MostCentreMm = 0.6;

    /// <param name="isKnown">Whether the seam was chosen before; of one that is only guessed the waves are not followed.</param>
    public static SideCourse Refine(SideStrip strip, double[] path, double lengthMm, double strength, double clearMm, bool isKnown)
    {
        int half = (int)Math.Round(Math.Clamp(ClearShare * clearMm, LeastHalfMm, HalfMm) / strip.AcrossStepMm);
        path = [.. path, .. new double[SideCourse.Terms - path.Length]];
        double[] c = [.. path];
        double[,] covariance = new double[SideCourse.Terms, SideCourse.Terms];
        double scatter = double.NaN, seen = 0, ditchU = 0;
        var model = new DitchModel(half, strip.AcrossStepMm);
        for (int round = 0; round < 4; round++)
        {
            double[][] profile = MeanProfile(strip, c, lengthMm, half);
            // The whole side's energy told where the seam runs; what lies farther from there is another thing.
            (double ditch, ditchU) = model.Centre(profile);
            double centre = Math.Clamp(ditch, path[0] - c[0] - MostCentreMm, path[0] - c[0] + MostCentreMm);
            c[0] += centre;
            if (Math.Abs(centre) > strip.AcrossStepMm / 2) profile = MeanProfile(strip, c, lengthMm, half);
            List<(double S, double Offset, double Weight)> points = Shifts(strip, c, path, lengthMm, profile, half);
            points.RemoveAll(p => Math.Abs(p.Offset - PathAt(path, p.S)) > MostStrayMm);
            seen = points.Count / (double)Math.Max(1, strip.Count);
            if (points.Count < 12) break;
            (c, covariance, scatter) = RobustCourse(points, Unseen(strip, path, lengthMm, points), isKnown ? SideCourse.Terms : FewTerms);
        }
        if (new[] { -1.0, 1.0 }.Any(s => Math.Abs(PathAt(c, s) - PathAt(path, s)) > 1.5 * MostStrayMm)) (c, seen, scatter) = ([.. path], 0, double.NaN);
        if (double.IsNaN(scatter))
        {
            scatter = 1;
            for (int k = 0; k < SideCourse.Terms; k++) covariance[k, k] = 1;
        }
        covariance[0, 0] += SideFit.DitchUMm * SideFit.DitchUMm;
        return new SideCourse(lengthMm, c, covariance, scatter, seen, strength) { LightUMm = ditchU };
    }

    /// <summary>The path at the positions at which the profile was not seen: all that is known of the seam there.</summary>
    private static List<(double S, double Offset)> Unseen(SideStrip strip, double[] path, double lengthMm, List<(double S, double Offset, double Weight)> points)
    {
        var seen = points.Select(p => p.S).ToHashSet();
        var unseen = new List<(double S, double Offset)>();
        for (int i = 0; i < strip.Count; i++)
            if (strip.Inside[i] && 2 * strip.AlongMm(i) / lengthMm - 1 is double s && !seen.Contains(s)) unseen.Add((s, PathAt(path, s)));
        return unseen;
    }

    private static double PathAt(double[] c, double s) => SideCourse.At(c, s);

    /// <summary>Values of one channel along the path at position i, by linear interpolation across; false where the band does not reach.</summary>
    private static bool Sample(SideStrip strip, int channel, int i, double offsetMm, int half, double[] into)
    {
        double at = (strip.Across - 1) / 2.0 + offsetMm / strip.AcrossStepMm - half;
        int low = (int)Math.Floor(at);
        double share = at - low;
        if (low < 0 || low + 2 * half + 1 >= strip.Across) return false;
        float[] v = strip.Values[channel];
        int start = i * strip.Across + low;
        for (int k = 0; k <= 2 * half; k++) into[k] = v[start + k] * (1 - share) + v[start + k + 1] * share;
        return true;
    }

    private static double[][] MeanProfile(SideStrip strip, double[] c, double lengthMm, int half)
    {
        int width = 2 * half + 1;
        var result = new double[3][];
        var one = new double[width];
        for (int channel = 0; channel < 3; channel++)
        {
            var all = new List<double>[width];
            for (int k = 0; k < width; k++) all[k] = new List<double>(strip.Count);
            for (int i = 0; i < strip.Count; i++)
            {
                if (!strip.Inside[i] || !Sample(strip, channel, i, PathAt(c, 2 * strip.AlongMm(i) / lengthMm - 1), half, one)) continue;
                for (int k = 0; k < width; k++) all[k].Add(one[k]);
            }
            result[channel] = [.. all.Select(TrimmedMean)];
        }
        return result;
    }

    private static double TrimmedMean(List<double> values)
    {
        if (values.Count == 0) return 0;
        Span<double> all = CollectionsMarshal.AsSpan(values);
        int cut = all.Length / 5;
        if (cut > 0)
        {
            Ranks.At(all, cut);
            Ranks.At(all[cut..], all.Length - 2 * cut - 1);
        }
        double sum = 0;
        for (int i = cut; i < all.Length - cut; i++) sum += all[i];
        return sum / (values.Count - 2 * cut);
    }

    /// <summary>The seam's offset at every position where its profile is seen about the course so far, or else about the path: a course that strayed would never see the seam there again.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static List<(double S, double Offset, double Weight)> Shifts(SideStrip strip, double[] c, double[] path, double lengthMm, double[][] profile, int half)
    {
        int width = 2 * half + 1;
        double[] window = [.. Enumerable.Range(-half, width).Select(x => 0.5 + 0.5 * Math.Cos(Math.PI * x / (half + 1)))];
        double step = strip.AcrossStepMm;
        var t = new double[3][];
        var d = new double[3][];
        for (int channel = 0; channel < 3; channel++)
        {
            t[channel] = [.. profile[channel]];
            d[channel] = new double[width];
            for (int k = 1; k < width - 1; k++) d[channel][k] = (profile[channel][k + 1] - profile[channel][k - 1]) / (2 * step);
            Taper(t[channel], window);
            Taper(d[channel], window);
        }
        double tt = 0, td = 0, dd = 0;
        for (int channel = 0; channel < 3; channel++)
            for (int k = 0; k < width; k++)
            {
                tt += t[channel][k] * t[channel][k];
                td += t[channel][k] * d[channel][k];
                dd += d[channel][k] * d[channel][k];
            }
        double det = tt * dd - td * td;
        var points = new List<(double, double, double)>();
        if (det < 1e-9) return points;
        var one = new double[width];
        for (int i = 0; i < strip.Count; i++)
        {
            if (!strip.Inside[i]) continue;
            double s = 2 * strip.AlongMm(i) / lengthMm - 1;
            if (!Seen(PathAt(c, s), s)) Seen(PathAt(path, s), s);

            bool Seen(double offset, double s)
            {
                double vt = 0, vd = 0;
                for (int channel = 0; channel < 3; channel++)
                {
                    if (!Sample(strip, channel, i, offset, half, one)) return false;
                    Taper(one, window);
                    for (int k = 0; k < width; k++)
                    {
                        vt += one[k] * t[channel][k];
                        vd += one[k] * d[channel][k];
                    }
                }
                double alpha = (vt * dd - vd * td) / det, beta = (vd * tt - vt * td) / det;
                if (alpha < WeakShare) return false;
                double shift = -beta / alpha;
                if (Math.Abs(shift) >= MostShiftMm) return false;
                points.Add((s, offset + shift, Math.Min(1, alpha)));
                return true;
            }
        }
        return points;
    }

    /// <summary>Takes mean and slope away, under a raised-cosine window, so that light and shade across the band do not pull.</summary>
    private static void Taper(double[] v, double[] window)
    {
        int n = v.Length, half = n / 2;
        double sw = 0, swv = 0, sxx = 0, sxv = 0;
        for (int k = 0; k < n; k++)
        {
            double x = k - half, w = window[k];
            sw += w; swv += w * v[k]; sxx += w * x * x; sxv += w * x * v[k];
        }
        double mean = swv / sw, slope = sxv / sxx;
        for (int k = 0; k < n; k++)
        {
            double x = k - half;
            v[k] = (v[k] - mean - slope * x) * Math.Sqrt(window[k]);
        }
    }

    /// <summary>Least squares with Tukey weights and, for sway and waves alone, what seams are known to do (the height of the waves by expectation and maximisation: Dempster, Laird and Rubin 1977); the covariance allows for the residuals' own correlation (Newey and West's idea by the first lag).</summary>
    private static (double[] C, double[,] Covariance, double Scatter) RobustCourse(List<(double S, double Offset, double Weight)> points, List<(double S, double Offset)> unseen, int waves)
    {
        const int terms = SideCourse.Terms;
        int n = points.Count;
        double[] weight = [.. points.Select(p => p.Weight)];
        double[] c = new double[terms], residual = new double[n];
        double[][] basis = [.. points.Select(p => SideCourse.Basis(p.S))];
        double[,] inverse = new double[terms, terms];
        double variance = 0.3 * 0.3, wave = waves > FewTerms ? SwayMm * SwayMm : LeastWaveMm * LeastWaveMm;
        for (int round = 0; round < 8; round++)
        {
            var a = new double[terms, terms];
            var b = new double[terms];
            for (int i = 0; i < n; i++)
                for (int r = 0; r < terms; r++)
                {
                    b[r] += weight[i] * basis[i][r] * points[i].Offset;
                    for (int k = 0; k < terms; k++) a[r, k] += weight[i] * basis[i][r] * basis[i][k];
                }
            double little = variance / (PathUMm * PathUMm * PathAlike);
            foreach ((double s, double offset) in unseen)
            {
                double[] one = SideCourse.Basis(s);
                for (int r = 0; r < terms; r++)
                {
                    b[r] += little * one[r] * offset;
                    for (int k = 0; k < terms; k++) a[r, k] += little * one[r] * one[k];
                }
            }
            for (int k = 3; k < terms; k++) a[k, k] += variance / (k < FewTerms ? SwayMm * SwayMm : wave);
            inverse = Matrices.Inverse(a);
            for (int r = 0; r < terms; r++)
            {
                c[r] = 0;
                for (int k = 0; k < terms; k++) c[r] += inverse[r, k] * b[k];
            }
            for (int i = 0; i < n; i++) residual[i] = points[i].Offset - PathAt(c, points[i].S);
            double[] sizes = [.. residual.Select(Math.Abs)];
            double sigma = Math.Max(0.005, 1.4826 * Ranks.At<double>(sizes, n / 2));
            for (int i = 0; i < n; i++)
            {
                double u = residual[i] / (4.685 * sigma);
                weight[i] = Math.Abs(u) < 1 ? points[i].Weight * (1 - u * u) * (1 - u * u) : 0;
            }
            variance = Variance(residual, weight) * Inflation(residual, weight);
            if (waves > FewTerms) wave = Math.Clamp(Enumerable.Range(FewTerms, terms - FewTerms).Average(k => c[k] * c[k] + inverse[k, k] * variance), LeastWaveMm * LeastWaveMm, SwayMm * SwayMm);
        }
        for (int r = 0; r < terms; r++)
            for (int k = 0; k < terms; k++) inverse[r, k] *= variance;
        return (c, inverse, Math.Sqrt(Variance(residual, weight)));
    }

    private static double Variance(double[] residual, double[] weight)
    {
        double sum = 0, used = 0;
        for (int i = 0; i < residual.Length; i++)
        {
            sum += weight[i] * residual[i] * residual[i];
            used += weight[i];
        }
        return sum / Math.Max(1, used - SideCourse.Terms);
    }

    /// <summary>By how much neighbours that err alike make a mean less certain.</summary>
    private static double Inflation(double[] residual, double[] weight)
    {
        double square = 0, lag = 0;
        for (int i = 0; i < residual.Length; i++)
        {
            if (weight[i] <= 0) continue;
            square += residual[i] * residual[i];
            if (i > 0 && weight[i - 1] > 0) lag += residual[i] * residual[i - 1];
        }
        double r1 = square > 0 ? Math.Clamp(lag / square, 0, 0.95) : 0;
        return (1 + r1) / (1 - r1);
    }
}
