namespace Analyzer.Core.Deviation;

/// <summary>Straightness with the measuring noise taken out, and standard uncertainties, mm.</summary>
/// <remarks>
/// STRq: measured² = true² + noise² (line-edge roughness practice: Villarrubia 2005, Mack 2013), so noise² is subtracted; what the line fit itself has
/// absorbed of the noise is allowed for. STRt: the profile is smoothed by local parabolas under a Gaussian weight whose cut-off has the least expected error
/// (Stein's unbiased risk estimate for the known noise), and the smoothed profile is scaled until its r.m.s. is the noise-free one; its range is STRt.
/// Pure noise thus gives 0, a smooth wave its own height, and a rough line keeps its peaks in proportion.
/// </remarks>
/// <param name="RmsMm">STRq without noise; 0 when the line is no rougher than the noise.</param>
/// <param name="TotalMm">STRt without noise.</param>
/// <param name="NoiseRmsMm">The noise floor that was taken out.</param>
/// <param name="CutOffMm">Cut-off used for STRt; 0 none, infinite when only the straight line is left.</param>
public sealed record NoiseFreeStraightness(double RmsMm, double RmsUMm, double TotalMm, double TotalUMm, double NoiseRmsMm, double CutOffMm)
{
    private static readonly double[] CutOffs = [0, 3, 4.5, 6.5, 10, 15, 22, 33, 50];

    /// <summary>Relative uncertainty assumed for the noise level itself: it is estimated on the ground beside the line, not known on it. From comparison with known truth of several photo makers.</summary>
    public const double NoiseLevelRelativeU = 0.3;

    /// <summary>Peak to valley over root mean square of a hand's line, for one that the noise hides: 4 to 5 over some tens of centimetres.</summary>
    private const double UsualPeakFactor = 4.5;

    /// <param name="sigmaMm">Standard uncertainty of each sample.</param>
    /// <param name="fit">Reference line of the same samples.</param>
    /// <param name="scatterMm">The part of each uncertainty that shows as scatter and is taken out; all of it where not given.</param>
    /// <param name="weight">How much each sample counts for STRq: 1, or less where it is unsure whether there is thread at all; STRt is that of samples that count by half or more, where there are any.</param>
    public static NoiseFreeStraightness Of(
        IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, IReadOnlyList<double> sigmaMm, NoiseCorrelation noise, ReferenceLineFit? fit = null, IReadOnlyList<double>? scatterMm = null,
        IReadOnlyList<double>? weight = null)
    {
        scatterMm ??= sigmaMm;
        fit ??= ReferenceLineFit.Fit(alongMm, deviationMm, sigmaMm, noise, weight: weight);
        int n = alongMm.Count;
        double[] counts = [.. weight ?? Enumerable.Repeat(1.0, n)];
        double all = counts.Sum();
        double[] residual = [.. Enumerable.Range(0, n).Select(i => deviationMm[i] - fit.At(alongMm[i]))];
        double measured2 = MeanSquare(residual);
        // What a sample adds to a sum over all is as unsure as the sample, times how much it counts.
        double[] added = [.. sigmaMm.Select((s, i) => counts[i] * s)], shown = [.. scatterMm.Select((s, i) => counts[i] * s)];
        double noise2 = NoiseLeft(alongMm, scatterMm, noise), doubt2 = Math.Max(0, NoiseLeft(alongMm, added, noise) - NoiseLeft(alongMm, shown, noise));
        double true2 = Math.Max(0, measured2 - noise2);
        (double cutOff, double[] smooth, double pointNoise2) = BestSmooth(alongMm, residual, scatterMm, noise, true2 > 0);

        double smooth2 = MeanSquare(smooth);
        double scale = smooth2 > 0 ? Math.Sqrt(true2 / smooth2) : 0;
        double[] best = [.. smooth.Select(v => v * scale)];
        double u2 = UOfMeanSquare(alongMm, added, noise, best, noise2);
        // What is doubted may be there or not.
        u2 = Math.Sqrt(u2 * u2 + doubt2 * doubt2 / 3);
        double rms = Math.Sqrt(true2), rmsU = Math.Min(rms > 0 ? u2 / (2 * rms) : double.PositiveInfinity, Math.Sqrt(u2));
        double[] there = counts.Max() < 0.5 ? best : [.. best.Where((_, i) => counts[i] >= 0.5)];
        double high = there.Max(), low = there.Min(), total = high - low;
        double peakFactor = rms > 0 && total > 0 ? total / rms : UsualPeakFactor;
        // Two extremes, each with the noise left after smoothing and what is doubted at that very place, and the scale from STRq.
        double doubted2 = Doubted2(Array.IndexOf(best, high)) + Doubted2(Array.IndexOf(best, low));
        double totalU = Math.Sqrt(2 * pointNoise2 + doubted2 + peakFactor * peakFactor * rmsU * rmsU);
        return new NoiseFreeStraightness(rms, rmsU, total, totalU, Math.Sqrt(noise2), cutOff);

        double MeanSquare(double[] values) => values.Select((v, i) => counts[i] * v * v).Sum() / all;

        double Doubted2(int at) => Math.Max(0, sigmaMm[at] * sigmaMm[at] - scatterMm[at] * scatterMm[at]);
    }

    /// <summary>Expected mean square of pure noise about its own least-squares line, mm².</summary>
    private static double NoiseLeft(IReadOnlyList<double> x, IReadOnlyList<double> sigma, NoiseCorrelation noise)
    {
        int n = x.Count;
        double mean = x.Average(), norm = Math.Sqrt(x.Sum(v => (v - mean) * (v - mean)));
        double[] level = [.. x.Select(_ => 1 / Math.Sqrt(n))], tilt = [.. x.Select(v => (v - mean) / norm)];
        double absorbed = noise.Covariance(x, sigma, level, level) + noise.Covariance(x, sigma, tilt, tilt);
        return Math.Max(0, sigma.Sum(s => s * s) - absorbed) / n;
    }

    /// <summary>Standard uncertainty of the noise-free mean square: noise beating with the profile, noise with itself, and the noise level.</summary>
    private static double UOfMeanSquare(IReadOnlyList<double> x, double[] sigma, NoiseCorrelation noise, double[] profile, double noise2)
    {
        int n = x.Count;
        double beat = noise.Covariance(x, sigma, profile, profile), own = 0;
        var rho = new RhoTable(noise, stackalloc double[RhoTable.Size]);
        for (int i = 0; i < n; i++)
        {
            own += sigma[i] * sigma[i] * sigma[i] * sigma[i];
            for (int j = i + 1; j < n && x[j] - x[i] < noise.ReachMm / 2; j++)
            {
                double c = sigma[i] * sigma[j] * rho.At(x[j] - x[i]);
                own += 2 * c * c;
            }
        }
        double level = 2 * noise2 * NoiseLevelRelativeU;
        return Math.Sqrt((4 * beat + 2 * own) / ((double)n * n) + level * level);
    }

    /// <param name="isWavy">The line is rougher than the noise: it is no straight line then, however little is left of it.</param>
    private static (double CutOff, double[] Smooth, double PointNoise2) BestSmooth(
        IReadOnlyList<double> x, double[] residual, IReadOnlyList<double> sigma, NoiseCorrelation noise, bool isWavy)
    {
        int n = x.Count;
        double[] sigmas = NoiseCorrelation.Plain(sigma), places = NoiseCorrelation.Plain(x), share = GaussianProfileFilter.Shares(places);
        var rho = new RhoTable(noise, stackalloc double[RhoTable.Size]);
        double bestRisk = isWavy ? double.PositiveInfinity : residual.Sum(r => r * r) / n, bestNoise2 = 0, bestCut = double.PositiveInfinity;
        var best = new double[n];
        foreach (double cut in CutOffs.Where(c => c < (places[^1] - places[0]) / 1.5))
        {
            var parabola = new LocalParabola(places, share, cut);
            var smooth = new double[n];
            double misfit = 0, freedom = 0, left = 0;
            for (int i = 0; i < n; i++)
            {
                ReadOnlySpan<double> w = parabola.WeightsAt(i, out int first);
                double sum = 0, cov = 0;
                for (int k = 0; k < w.Length; k++)
                {
                    int j = first + k;
                    sum += w[k] * residual[j];
                    cov += w[k] * sigmas[i] * sigmas[j] * rho.At(places[j] - places[i]);
                }
                smooth[i] = sum;
                misfit += (residual[i] - sum) * (residual[i] - sum);
                freedom += cov;
                left += cov;
            }
            // Stein: E|ŷ - truth|² = E|ŷ - y|² + 2 Σ cov(ŷ, y) - Σ σ².
            double risk = (misfit + 2 * freedom) / n;
            if (risk >= bestRisk) continue;
            (bestRisk, bestCut, best) = (risk, cut, smooth);
            bestNoise2 = left / n;
        }
        return (bestCut, best, bestNoise2);
    }
}
