using Analyzer.Core.Deviation;

namespace Analyzer.Core.Tests.Deviation;

/// <summary>Line fit with covariance: JCGM 100 example H.3 (external check F11), E6, and coverage by simulation.</summary>
public sealed class ReferenceLineFitTests
{
    private static readonly double[] Temperature = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];

    private static readonly double[] Correction = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];

    /// <summary>F11: intercept -0.17120379 (0.0028776), slope 0.0021827 (0.00066794), r -0.930429603, b(30) -0.149376813 (0.004138596).</summary>
    [Fact]
    public void Fit_OfThermometerExample_MatchesTheGuide()
    {
        double rms = Straightness.Of(Temperature, Correction).RmsMm, s = rms * Math.Sqrt(11.0 / 9);
        Assert.Equal(0.003497564, s, 6e-10);
        double[] sigma = [.. Temperature.Select(_ => s)];
        ReferenceLineFit fit = ReferenceLineFit.Fit(Temperature, Correction, sigma, 0, midAlongMm: 20);
        Assert.Equal(-0.17120379, fit.OffsetMm, 6e-9);
        Assert.Equal(0.0028776, fit.OffsetUMm, 6e-8);
        Assert.Equal(0.0021827, fit.Slope, 6e-8);
        Assert.Equal(0.00066794, fit.SlopeU, 6e-9);
        Assert.Equal(-0.930429603, fit.Correlation, 6e-10);
        Assert.Equal(-0.149376813, fit.At(30), 6e-10);
        Assert.Equal(0.004138596, fit.UAt(30), 6e-10);
    }

    /// <summary>F11 with one more point that counts by nothing: the guide's line and its uncertainty all the same. One that counts in whole is another line.</summary>
    [Fact]
    public void Fit_WithAPointThatDoesNotCount_IsTheGuidesLine()
    {
        double[] x = [.. Temperature, 27.0], y = [.. Correction, 0.3], sigma = [.. x.Select(_ => 0.003497564)];
        double[] weight = [.. Temperature.Select(_ => 1.0), 0];
        ReferenceLineFit fit = ReferenceLineFit.Fit(x, y, sigma, new NoiseCorrelation(0), midAlongMm: 20, weight);
        Assert.Equal(-0.17120379, fit.OffsetMm, 6e-9);
        Assert.Equal(0.0021827, fit.Slope, 6e-8);
        Assert.Equal(0.00066794, fit.SlopeU, 6e-8);
        Assert.True(ReferenceLineFit.Fit(x, y, sigma, 0, midAlongMm: 20).Slope > 0.02);
    }

    /// <summary>E6: n 120 independent points of 0.1 mm over 300 mm give 0.0091 mm and 0.0060 degrees.</summary>
    [Fact]
    public void Fit_OfIndependentPoints_HasTheTextbookUncertainty()
    {
        double[] x = [.. Enumerable.Range(0, 120).Select(i => (i + 0.5) * 2.5)], y = new double[120];
        ReferenceLineFit fit = ReferenceLineFit.Fit(x, y, [.. x.Select(_ => 0.1)], 0);
        Assert.Equal(0.0091, fit.OffsetUMm, 5e-5);
        Assert.Equal(0.0060, fit.AngleUDeg, 5e-4);
    }

    /// <summary>Coverage: over 400 seeded profiles with correlated noise the truth lies inside ± 2u 92 to 98 % of the time (nominal 95.4).</summary>
    [Fact]
    public void Fit_OfCorrelatedNoise_CoversTheTruth()
    {
        const int runs = 400;
        var noise = new NoiseCorrelation(3, 0.3);
        double[] x = [.. Enumerable.Range(0, 200).Select(i => (double)i)], sigma = [.. x.Select(_ => 0.05)];
        int offsetInside = 0, slopeInside = 0;
        for (int seed = 0; seed < runs; seed++)
        {
            double[] y = CorrelatedNoise.Draw(x, sigma, noise, new Random(seed));
            ReferenceLineFit fit = ReferenceLineFit.Fit(x, y, sigma, noise);
            if (Math.Abs(fit.OffsetMm) <= 2 * fit.OffsetUMm) offsetInside++;
            if (Math.Abs(fit.Slope) <= 2 * fit.SlopeU) slopeInside++;
        }
        Assert.InRange(offsetInside / (double)runs, 0.92, 0.98);
        Assert.InRange(slopeInside / (double)runs, 0.92, 0.98);
    }
}

/// <summary>Seeded noise with a white and an exponentially correlated part.</summary>
internal static class CorrelatedNoise
{
    public static double[] Draw(double[] x, double[] sigma, NoiseCorrelation noise, Random random)
    {
        var y = new double[x.Length];
        double state = Normal(random);
        for (int i = 0; i < x.Length; i++)
        {
            if (i > 0)
            {
                double a = noise.LengthMm > 0 ? Math.Exp(-(x[i] - x[i - 1]) / noise.LengthMm) : 0;
                state = a * state + Math.Sqrt(1 - a * a) * Normal(random);
            }
            y[i] = sigma[i] * (Math.Sqrt(noise.WhiteShare) * Normal(random) + Math.Sqrt(1 - noise.WhiteShare) * state);
        }
        return y;
    }

    public static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
