using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;

namespace Analyzer.Bench;

/// <summary>
/// The Cramér-Rao bound of the thread's centre in one photo (external check E4) and the random error of the traces beside it. The scene is taken twice, so that the
/// second photo differs by its sensor's noise alone: the difference of both traces is the random error, the difference of both photos the noise. Fisher information of
/// one pixel of line is ∫ f'ᵀ Σ⁻¹ f' dx: f is the mean profile across the true thread with the photo's own contrast and blur, Σ the covariance of the three colours'
/// noise near the thread; both in the rendered pixels before JPEG, along the true lines, never from a trace.
/// </summary>
/// <remarks>
/// White noise from pixel to pixel is assumed, as in E4. What the file's compression adds is in the error and not in the bound. The thread's own unevenness and the
/// averaging over its bends are the same in both photos: they are in neither, but in the error against truth, which is told beside.
/// </remarks>
/// <param name="BoundMm">Least standard deviation of one sample.</param>
/// <param name="RandomMm">Standard deviation of a sample from photo to photo: 1.4826 times the median size of the differences, over √2.</param>
/// <param name="ErrorMm">The same of the samples' errors against truth about each line's own mean.</param>
internal sealed record NoiseBound(double BoundMm, double RandomMm, double ErrorMm)
{
    /// <summary>Length over which a sample of the traces averages, mm: what the three rounds with a Gaussian of 0.6 mm pass of white noise, 2.09 times its scale.</summary>
    public const double SampleLengthMm = 2.09 * 0.6;

    private const double BinPx = 0.25, ReachMm = 1.0;

    public double Ratio => RandomMm / BoundMm;

    /// <summary>Null where too little was traced in both photos to compare.</summary>
    public static NoiseBound? Of(SyntheticPhoto photo, SyntheticPhoto again, AccuracyReport report, AccuracyReport reportAgain)
    {
        List<double> differences = [], errors = [];
        foreach ((LineReport line, LineReport other) in report.Lines.Zip(reportAgain.Lines))
        {
            LineTruth real = photo.Truth.Line(line.Id);
            if (real.IsMissing || line.Samples.Count < 10 || other.Samples.Count < 10) continue;
            Dictionary<double, double> second = other.Samples.ToDictionary(s => s.AlongMm, s => s.DeviationMm);
            differences.AddRange(line.Samples.Where(s => second.ContainsKey(s.AlongMm)).Select(s => Math.Abs(s.DeviationMm - second[s.AlongMm])));
            Dictionary<int, double> at = real.Samples.ToDictionary(s => (int)Math.Round(s.AlongMm), s => s.DeviationMm);
            double[] own = [.. line.Samples.Where(s => at.ContainsKey((int)Math.Round(s.AlongMm))).Select(s => s.DeviationMm - at[(int)Math.Round(s.AlongMm)])];
            if (own.Length > 0) errors.AddRange(own.Select(e => Math.Abs(e - own.Average())));
        }
        if (differences.Count < 50 || errors.Count < 50) return null;
        (double pxPerMm, double information) = InformationOfAPixel(photo, again);
        if (!(information > 0)) return null;
        return new NoiseBound(1 / Math.Sqrt(SampleLengthMm * pxPerMm * information) / pxPerMm, 1.4826 * Middle(differences) / Math.Sqrt(2), 1.4826 * Middle(errors));
    }

    private static double Middle(List<double> values) => values.Order().ElementAt(values.Count / 2);

    private static (double PxPerMm, double Information) InformationOfAPixel(SyntheticPhoto photo, SyntheticPhoto again)
    {
        SceneTruth truth = photo.Truth;
        (double X, double Y)[] block = [.. truth.Grid.Size.Corners().Select(p => (p.Xmm, p.Ymm))];
        Homography seen = Homography.FromFourPoints(block, [.. truth.Corners.ToArray().Select(p => (p.X, p.Y))]);
        (double sx, double sy) = (truth.Grid.Size.WidthMm / 2, truth.Grid.Size.HeightMm / 2);
        (double a, double b, double c, double d) = seen.Jacobian(sx, sy);
        double pxPerMm = Math.Sqrt(Math.Abs(a * d - b * c));
        int bins = 2 * (int)Math.Round(ReachMm * pxPerMm / BinPx) + 1;
        var sum = new double[bins, 3];
        var count = new double[bins];
        var noise = new double[3, 3];
        int noises = 0;
        BlockPoint[][] paths = [.. truth.Lines.Where(l => !l.IsMissing).Select(l => l.Holes.ToArray())];
        foreach (LineTruth line in truth.Lines.Where(l => !l.IsMissing))
        {
            LineFamily family = truth.Grid.Families[line.Family];
            GridLine intended = truth.Grid.Line(line.Id);
            for (int k = 0; k + 1 < line.Samples.Count; k++)
            {
                DeviationSample s = line.Samples[k], next = line.Samples[k + 1];
                if (s.AlongMm < 4 || s.AlongMm > intended.LengthMm - 4 || next.AlongMm - s.AlongMm > 1.01) continue;
                BlockPoint on = On(family, intended, s.AlongMm, s.DeviationMm);
                if (paths.Count(p => IsNear(p, on, 3.2)) > 1) continue;
                (double px, double py) = seen.Map(on.Xmm, on.Ymm);
                BlockPoint further = On(family, intended, next.AlongMm, next.DeviationMm);
                (double fx, double fy) = seen.Map(further.Xmm, further.Ymm);
                double length = Math.Sqrt((fx - px) * (fx - px) + (fy - py) * (fy - py)), ux = (fx - px) / length, uy = (fy - py) / length;
                // Every pixel whose foot lies on this piece of the thread, by its exact distance across.
                int reach = (int)Math.Ceiling(ReachMm * pxPerMm + length) + 1;
                for (int y = (int)py - reach; y <= (int)py + reach; y++)
                    for (int x = (int)px - reach; x <= (int)px + reach; x++)
                    {
                        if (x < 0 || y < 0 || x >= photo.WidthPx || y >= photo.HeightPx) continue;
                        double along = (x - px) * ux + (y - py) * uy, across = (y - py) * ux - (x - px) * uy;
                        int bin = (int)Math.Round(across / BinPx) + bins / 2;
                        if (along < 0 || along >= length || bin < 0 || bin >= bins) continue;
                        count[bin]++;
                        int at = 3 * (y * photo.WidthPx + x);
                        for (int ch = 0; ch < 3; ch++)
                        {
                            sum[bin, ch] += photo.Rgb[at + ch];
                            // Half the mean square of the difference of two is the variance of one.
                            for (int q = 0; q < 3; q++) noise[ch, q] += 0.5 * (photo.Rgb[at + ch] - again.Rgb[at + ch]) * (photo.Rgb[at + q] - again.Rgb[at + q]);
                        }
                        noises++;
                    }
            }
        }
        if (noises < 100) return (pxPerMm, 0);
        for (int i = 0; i < 3; i++)
            for (int j = 0; j < 3; j++) noise[i, j] /= noises;
        // Rounding to whole levels is part of the difference; a trace of it keeps the matrix regular where a colour is clipped.
        for (int i = 0; i < 3; i++) noise[i, i] += 0.01;
        double information = 0;
        for (int k = 2; k + 2 < bins; k++)
        {
            if (count[k - 2] < 20 || count[k + 2] < 20) continue;
            double[] slope = [.. Enumerable.Range(0, 3).Select(ch => (sum[k + 2, ch] / count[k + 2] - sum[k - 2, ch] / count[k - 2]) / (4 * BinPx))];
            // What the means' own noise adds to a squared slope: three degrees of freedom.
            information += (Quadratic(noise, slope) - 3 * (1 / count[k + 2] + 1 / count[k - 2]) / Math.Pow(4 * BinPx, 2)) * BinPx;
        }
        return (pxPerMm, information);
    }

    private static BlockPoint On(LineFamily f, GridLine line, double along, double across) =>
        new(line.From.Xmm + f.AlongX * along + f.AcrossX * across, line.From.Ymm + f.AlongY * along + f.AcrossY * across);

    private static bool IsNear(BlockPoint[] holes, BlockPoint p, double reachMm) => holes.Any(h => h.DistanceTo(p) < reachMm);

    /// <summary>vᵀ Σ⁻¹ v.</summary>
    private static double Quadratic(double[,] m, double[] v)
    {
        double a = m[0, 0], b = m[0, 1], c = m[0, 2], d = m[1, 1], e = m[1, 2], f = m[2, 2];
        double det = a * (d * f - e * e) - b * (b * f - c * e) + c * (b * e - c * d);
        return (v[0] * v[0] * (d * f - e * e) + v[1] * v[1] * (a * f - c * c) + v[2] * v[2] * (a * d - b * b)
            + 2 * (v[0] * v[1] * (c * e - b * f) + v[0] * v[2] * (b * e - c * d) + v[1] * v[2] * (b * c - a * e))) / det;
    }
}
