using Analyzer.Core.Deviation;

namespace Analyzer.Core.Tests.Deviation;

/// <summary>External check F17: measured² = true² + noise². Truth is the noise-free profile; the noise is drawn with a seed.</summary>
public sealed class NoiseFreeStraightnessTests
{
    private const int Runs = 200;

    private static readonly NoiseCorrelation Noise = new(2, 0.3);

    private static readonly double[] Along = [.. Enumerable.Range(0, 180).Select(i => (double)i)];

    public static double[] Wave(double along1, double along2) =>
        [.. Along.Select(v => along1 * Math.Cos(2 * Math.PI * v / 45 + 0.5) + along2 * Math.Sin(2 * Math.PI * v / 13))];

    /// <summary>Over seeds: the mean is near the truth and ± 2u holds it 92 to 98 % of the time, for easy, ordinary and hard noise.</summary>
    [Theory]
    [InlineData(0.20, 0.05, 0.02)]
    [InlineData(0.20, 0.05, 0.08)]
    [InlineData(0.10, 0.05, 0.10)]
    public void NoiseFree_OfNoisyWave_RecoversTheWaveAndCovers(double amplitude1, double amplitude2, double noiseMm)
    {
        double[] truth = Wave(amplitude1, amplitude2), sigma = [.. Along.Select(_ => noiseMm)];
        Straightness clean = Straightness.Of(Along, truth);
        double rmsSum = 0, totalSum = 0;
        int rmsInside = 0, totalInside = 0;
        for (int seed = 0; seed < Runs; seed++)
        {
            double[] y = [.. CorrelatedNoise.Draw(Along, sigma, Noise, new Random(seed)).Select((n, i) => n + truth[i])];
            NoiseFreeStraightness s = NoiseFreeStraightness.Of(Along, y, sigma, Noise);
            rmsSum += s.RmsMm;
            totalSum += s.TotalMm;
            if (Math.Abs(s.RmsMm - clean.RmsMm) <= 2 * s.RmsUMm) rmsInside++;
            if (Math.Abs(s.TotalMm - clean.TotalMm) <= 2 * s.TotalUMm) totalInside++;
        }
        string seen = $"STRq {rmsSum / Runs:0.0000} of {clean.RmsMm:0.0000}, covered {rmsInside}; STRt {totalSum / Runs:0.0000} of {clean.TotalMm:0.0000}, covered {totalInside}";
        Assert.True(Math.Abs(rmsSum / Runs - clean.RmsMm) < 0.03 * clean.RmsMm + 0.02 * noiseMm, seen);
        Assert.True(Math.Abs(totalSum / Runs - clean.TotalMm) < 0.5 * noiseMm, seen);
        Assert.True(rmsInside >= 0.92 * Runs, seen);
        Assert.True(totalInside >= 0.92 * Runs, seen);
    }

    /// <summary>Pure noise has no wobble: the mean STRq left is a small part of the noise, where the plain STRt is 5 noise units (A5).</summary>
    [Fact]
    public void NoiseFree_OfPureNoise_IsNearZero()
    {
        double[] sigma = [.. Along.Select(_ => 0.05)];
        double plain = 0, left = 0;
        int inside = 0;
        for (int seed = 0; seed < Runs; seed++)
        {
            double[] y = CorrelatedNoise.Draw(Along, sigma, Noise, new Random(seed));
            plain += Straightness.Of(Along, y).TotalMm / Runs;
            NoiseFreeStraightness s = NoiseFreeStraightness.Of(Along, y, sigma, Noise);
            left += s.TotalMm / Runs;
            if (s.RmsMm <= 2 * s.RmsUMm) inside++;
        }
        Assert.InRange(plain, 4.3 * 0.05, 5.492 * 0.05);
        Assert.True(left < 0.25 * plain, $"plain {plain:0.000}, left {left:0.000}, STRq covered {inside}");
        Assert.True(inside >= 0.92 * Runs, $"covered {inside}");
    }

    /// <summary>Doubt about where the thread lies is not noise that a straight line would show: it takes nothing off the straightness and makes it less sure.</summary>
    [Fact]
    public void NoiseFree_WithDoubtThatDoesNotShow_KeepsTheValueAndIsLessSure()
    {
        double[] truth = Wave(0.2, 0.1), scatter = [.. Along.Select(_ => 0.03)], all = [.. Along.Select(_ => 0.15)];
        double[] y = [.. CorrelatedNoise.Draw(Along, scatter, Noise, new Random(5)).Select((n, i) => n + truth[i])];
        NoiseFreeStraightness sure = NoiseFreeStraightness.Of(Along, y, scatter, Noise), unsure = NoiseFreeStraightness.Of(Along, y, all, Noise, scatterMm: scatter);
        Assert.Equal(sure.RmsMm, unsure.RmsMm, 3);
        Assert.Equal(sure.NoiseRmsMm, unsure.NoiseRmsMm, 9);
        Assert.True(unsure.RmsUMm > 2 * sure.RmsUMm, $"u {unsure.RmsUMm:0.0000} against {sure.RmsUMm:0.0000}");
        Assert.InRange(Math.Abs(unsure.RmsMm - Straightness.Of(Along, truth).RmsMm), 0, 2 * unsure.RmsUMm);
    }

    /// <summary>Two places at the ends, 3 mm aside, that count by so much: mean square = sum of weight times square over sum of weights, worked out by hand from the definition; the range is of what counts by half or more.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(0.3)]
    [InlineData(0.6)]
    [InlineData(1)]
    public void NoiseFree_WithPlacesThatCountLess_IsTheWeightedMeanSquare(double share)
    {
        const double asideMm = 3;
        double[] wave = Wave(0.2, 0.1), sigma = [.. Along.Select(_ => 1e-6)];
        double[] y = [.. wave.Select((v, i) => i == 0 ? asideMm : i == Along.Length - 1 ? -asideMm : v)];
        double[] weight = [.. Along.Select((_, i) => i == 0 || i == Along.Length - 1 ? share : 1)];
        var level = new ReferenceLineFit(0, 0, 0, 1e-6, 1e-6, 0);
        NoiseFreeStraightness s = NoiseFreeStraightness.Of(Along, y, sigma, Noise, level, weight: weight);
        double inside = wave[1..^1].Sum(v => v * v);
        Assert.Equal(Math.Sqrt((inside + 2 * share * asideMm * asideMm) / (Along.Length - 2 + 2 * share)), s.RmsMm, 6);
        Assert.Equal(share >= 0.5 ? 2 * asideMm : wave[1..^1].Max() - wave[1..^1].Min(), s.TotalMm, 0.02);
    }
}
