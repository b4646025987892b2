using Analyzer.Core.Deviation;

namespace Analyzer.Core.Causes;

/// <summary>Mean square of steering wobble by wavelength, mm²; noise taken out (a band of pure noise scatters around 0 and may be negative).</summary>
/// <param name="LongWaves">20 mm and longer, after offset, angle, bow and the cubic have been removed.</param>
/// <param name="MiddleWaves">8 to 20 mm.</param>
/// <param name="ShortWaves">Two stitches to 8 mm.</param>
/// <param name="FinerWaves">Shorter than two stitches: thread shape and stitch slant, not steering.</param>
/// <param name="Noise">Noise that was taken out of all bands together.</param>
public readonly record struct WobbleBands(double LongWaves, double MiddleWaves, double ShortWaves, double FinerWaves, double Noise)
{
    public const double LongFromMm = 20, MiddleFromMm = 8;

    /// <summary>R.m.s. long, middle, short in mm, negative bands as 0: the form the report carries.</summary>
    public double[] RmsMm() => [Math.Sqrt(Math.Max(0, LongWaves)), Math.Sqrt(Math.Max(0, MiddleWaves)), Math.Sqrt(Math.Max(0, ShortWaves))];

    /// <summary>Bands of a profile about its own offset, angle and bow.</summary>
    public static WobbleBands Of(
        IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, IReadOnlyList<double> sigmaMm, NoiseCorrelation noise, double stitchLengthMm = 2.3)
    {
        LineShape shape = LineShape.Of(alongMm, deviationMm, sigmaMm, noise);
        return OfRemainder(alongMm, shape.Remainder, sigmaMm, noise, shape.RemainderNoise, stitchLengthMm);
    }

    /// <summary>
    /// Bands of what is left after the polynomials. Cosine transform (orthonormal) of the evenly resampled profile; short gaps are bridged straight,
    /// and the bands are scaled so that they add up to the mean square of the samples that were really seen.
    /// </summary>
    internal static WobbleBands OfRemainder(
        IReadOnlyList<double> alongMm, double[] remainder, IReadOnlyList<double> sigmaMm, NoiseCorrelation noise, double noiseMeanSquare, double stitchLengthMm)
    {
        double step = MedianStep(alongMm);
        double[] even = Even(alongMm, remainder, step);
        int n = even.Length;
        Span<double> energy = stackalloc double[4], noiseShare = stackalloc double[4];
        energy.Clear();
        noiseShare.Clear();
        double a = noise.LengthMm > 0 ? Math.Exp(-step / noise.LengthMm) : 0;
        double[] cosine = [.. Enumerable.Range(0, 4 * n).Select(i => Math.Cos(Math.PI * i / (2 * n)))];
        for (int k = 1; k < n; k++)
        {
            double sum = 0;
            int phase = k % (4 * n), stride = 2 * k % (4 * n);
            for (int i = 0; i < n; i++)
            {
                sum += even[i] * cosine[phase];
                phase += stride;
                if (phase >= 4 * n) phase -= 4 * n;
            }
            double wave = 2 * n * step / k;
            int band = wave >= LongFromMm ? 0 : wave >= MiddleFromMm ? 1 : wave >= 2 * stitchLengthMm ? 2 : 3;
            energy[band] += sum * sum * 2 / n;
            // Polynomials up to the cubic have taken the noise of about the first three waves.
            if (k > 3) noiseShare[band] += noise.WhiteShare + (1 - noise.WhiteShare) * (1 - a * a) / (1 - 2 * a * Math.Cos(Math.PI * k / n) + a * a);
        }
        double seen = remainder.Sum(r => r * r) / remainder.Length;
        double total = energy[0] + energy[1] + energy[2] + energy[3], totalNoise = noiseShare[0] + noiseShare[1] + noiseShare[2] + noiseShare[3];
        double scale = total > 0 ? seen / total : 0, noiseScale = totalNoise > 0 ? noiseMeanSquare / totalNoise : 0;
        for (int b = 0; b < 4; b++) energy[b] = scale * energy[b] - noiseScale * noiseShare[b];
        return new WobbleBands(energy[0], energy[1], energy[2], energy[3], noiseMeanSquare);
    }

    private static double MedianStep(IReadOnlyList<double> x)
    {
        double[] steps = [.. Enumerable.Range(1, x.Count - 1).Select(i => x[i] - x[i - 1]).Order()];
        return steps[steps.Length / 2];
    }

    private static double[] Even(IReadOnlyList<double> x, double[] y, double step)
    {
        int n = (int)Math.Round((x[^1] - x[0]) / step) + 1, j = 0;
        var even = new double[n];
        for (int i = 0; i < n; i++)
        {
            double at = Math.Min(x[0] + i * step, x[^1]);
            while (j + 2 < x.Count && x[j + 1] < at) j++;
            double t = (at - x[j]) / (x[j + 1] - x[j]);
            even[i] = y[j] + t * (y[j + 1] - y[j]);
        }
        return even;
    }
}
