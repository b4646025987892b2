using Analyzer.Core.Statistics;

namespace Analyzer.Core.Tests.Statistics;

/// <summary>Spectra against external checks G1 to G5 and G7 and stitch pitch against G6.</summary>
public sealed class SpectrumTests
{
    private static readonly double[] G3 =
        [.. Enumerable.Range(0, 512).Select(i => i * 0.5).Select(x => 0.30 * Math.Sin(2 * Math.PI * x / 32 + 0.4) + 0.10 * Math.Sin(2 * Math.PI * x / 8 + 1.1) + 0.05 * Math.Sin(2 * Math.PI * x / 2))];

    /// <summary>G1 ENSO: Lomb-Scargle peaks at periods 11.94, 44.17, 27.12, 21.86 in falling order on f 0.01 to 0.2.</summary>
    [Fact]
    public void LombScargle_OfEnso_FindsThePublishedPeriods()
    {
        double[] at = [.. Enumerable.Range(1, 168).Select(i => (double)i)];
        double[] f = [.. Enumerable.Range(0, 19001).Select(i => 0.01 + i * 1e-5)];
        var spectrum = new PowerSpectrum(f, Analyzer.Core.Statistics.Spectrum.LombScargle(at, NistData.Enso, f), 1e-5);
        double[] periods = [.. spectrum.Peaks(4).Select(v => 1 / v)];
        double[] expected = [11.94, 44.17, 27.12, 21.86];
        for (int i = 0; i < 4; i++) Assert.Equal(expected[i], periods[i], 0.02);
    }

    /// <summary>G1 ENSO, certified periods 44.311 and 26.888 and RSS 788.53978668: a linear fit at them reproduces the certified coefficients.</summary>
    [Fact]
    public void LinearFit_AtEnsoPeriods_GivesCertifiedCoefficients()
    {
        double[] period = [12, 44.311088700, 26.887614440], expected = [10.510749193, 3.0762128085, 0.53280138227, -1.6231428586, 0.52554493756, 0.21232288488, 1.4966870418];
        double[][] rows = [.. Enumerable.Range(1, 168).Select(x => new[] { 1.0 }.Concat(period.SelectMany(p => new[] { Math.Cos(2 * Math.PI * x / p), Math.Sin(2 * Math.PI * x / p) })).ToArray())];
        LinearLeastSquares fit = LinearLeastSquares.Fit(rows, NistData.Enso);
        for (int i = 0; i < 7; i++) Assert.Equal(expected[i], fit.Coefficients[i], 1e-6);
        Assert.Equal(788.53978668, fit.ResidualSumOfSquares, 1e-6);
    }

    /// <summary>G7 sunspots: n 309, mean 49.752104, sd 40.452595; Lomb-Scargle main peak at 10.999 years with 10.05, 10.52 and 11.95 beside it; Welch (Hann, 128) at 10.667.</summary>
    [Fact]
    public void Spectra_OfSunspots_PeakAtTheSunsCycle()
    {
        double[] y = Sunspots.Yearly, year = [.. Enumerable.Range(0, y.Length).Select(i => (double)(Sunspots.FirstYear + i))];
        double mean = y.Average();
        Assert.Equal(309, y.Length);
        Assert.Equal(49.752104, mean, 1e-6);
        Assert.Equal(40.452595, Math.Sqrt(y.Sum(v => (v - mean) * (v - mean)) / (y.Length - 1)), 1e-6);
        double[] f = [.. Enumerable.Range(0, 6001).Select(i => 0.07 + i * 1e-5)];
        double[] periods = [.. new PowerSpectrum(f, Analyzer.Core.Statistics.Spectrum.LombScargle(year, y, f), 1e-5).Peaks(4).Select(v => 1 / v)];
        Assert.Equal(10.999, periods[0], 0.005);
        foreach (double beside in (double[])[10.05, 10.52, 11.95]) Assert.Contains(periods[1..], p => Math.Abs(p - beside) < 0.01);
        Assert.Equal(10.667, 1 / Analyzer.Core.Statistics.Spectrum.Welch(y, 1, 128).Peaks(1)[0], 0.001);
    }

    /// <summary>G2 Lew: periodogram peak at 0.300 cycles per sample, Lomb-Scargle at 0.301807.</summary>
    [Fact]
    public void Spectra_OfLew_PeakWhereTheHandbookSays()
    {
        PowerSpectrum p = Analyzer.Core.Statistics.Spectrum.Periodogram(NistData.Lew, 1);
        Assert.Equal(0.300, p.Peaks(1)[0], 1e-9);
        double[] at = [.. Enumerable.Range(0, 200).Select(i => (double)i)], f = [.. Enumerable.Range(0, 20001).Select(i => 0.29 + i * 1e-6)];
        double[] power = Analyzer.Core.Statistics.Spectrum.LombScargle(at, NistData.Lew, f);
        Assert.Equal(0.301807, f[Array.IndexOf(power, power.Max())], 1e-5);
    }

    /// <summary>G3: variance 0.05125 by periodogram (Parseval) and Welch, peaks at 32, 8 and 2 mm, and each band's own share.</summary>
    [Fact]
    public void Spectra_OfThreeSines_GiveTheirVariance()
    {
        PowerSpectrum p = Analyzer.Core.Statistics.Spectrum.Periodogram(G3, 0.5);
        Assert.Equal(0.05125, p.Density.Sum() * p.FrequencyStep, 1e-12);
        PowerSpectrum welch = Analyzer.Core.Statistics.Spectrum.Welch(G3, 0.5, 128);
        Assert.Equal(0.05125, welch.Density.Sum() * welch.FrequencyStep, 1e-9);
        Assert.Equal([32.0, 8.0, 2.0], p.Peaks(3).Select(v => 1 / v));
        Assert.Equal([32.0, 8.0, 2.0], welch.Peaks(3).Select(v => 1 / v));
        Assert.Equal(0.30 / Math.Sqrt(2), p.BandRms(20, 60), 1e-9);
        Assert.Equal(0.10 / Math.Sqrt(2), p.BandRms(7.9, 20), 1e-9);
        Assert.Equal(0.226384628, Math.Sqrt(p.Power(0, 2)), 1e-9);
    }

    /// <summary>
    /// G5, Sutton and Sykes, J. Physiol. 190, 1967, 281-293: a hand's error falls as 1/f in amplitude, 6 dB an octave in power, from 0.4 to 9 Hz. Sewn at
    /// 25 mm/s that is 62.5 to 2.8 mm of cloth. Power per frequency as f^-2 puts a share in proportion to (longest - shortest) wavelength into each band (analytic).
    /// </summary>
    [Fact]
    public void Spectrum_OfAHandsError_FallsSixDecibelsAnOctave()
    {
        const int samples = 4096;
        const double step = 0.5, speed = 25, lowHz = 0.4, highHz = 9;
        var random = new Random(5);
        (double PerMm, double Phase)[] waves = [.. Enumerable.Range(1, samples / 2 - 1).Select(k => k / (samples * step))
            .Where(f => f * speed is >= lowHz and <= highHz).Select(f => (f, 2 * Math.PI * random.NextDouble()))];
        double[] hand = [.. Enumerable.Range(0, samples).Select(i => waves.Sum(w => 0.001 / w.PerMm * Math.Sin(2 * Math.PI * w.PerMm * i * step + w.Phase)))];
        PowerSpectrum welch = Analyzer.Core.Statistics.Spectrum.Welch(hand, step, 1024);
        // From 1 to 8 Hz, three octaves, each from the band power around it.
        double Decibels(double hz) => 10 * Math.Log10(welch.Power(0.8 * hz / speed, 1.25 * hz / speed) / (0.45 * hz / speed));
        Assert.InRange((Decibels(8 / 1.25) - Decibels(0.8)) / 3, -6.3, -5.7);
        PowerSpectrum exact = Analyzer.Core.Statistics.Spectrum.Periodogram(hand, step);
        double Share(double shortest, double longest) => Math.Pow(exact.BandRms(shortest, longest), 2) / (longest - shortest);
        Assert.Equal(1, Share(20, 60) / Share(8, 20), 0.03);
        Assert.Equal(1, Share(5, 8) / Share(8, 20), 0.03);
        // 1 to 2 Hz, the corrections that vision makes, are waves of 12.5 to 25 mm; from 4 Hz on it is near one stitch. 1/1 - 1/2 against 1/4 - 1/9.
        Assert.Equal(3.6, exact.Power(1 / speed, 2 / speed) / exact.Power(4 / speed, highHz / speed), 0.15);
    }

    /// <summary>G6: dashes at 25.4/spi mm are measured as such; spread over seeds agrees with Kay's bound for N 1200, A = q (1.88e-5 cycles per sample).</summary>
    [Fact]
    public void StitchPitch_OfNoisyDashes_IsTheStitchLength()
    {
        Assert.Equal(1.88e-5, StitchPitch.FrequencyBound(1, 1200), 6e-8);
        const double step = 1 / 8.0, pitch = 25.4 / 11;
        var errors = new List<double>();
        double claimed = 0;
        for (int seed = 0; seed < 40; seed++)
        {
            var random = new Random(seed);
            double[] y = [.. Enumerable.Range(0, 1200).Select(i => Math.Cos(2 * Math.PI * i * step / pitch + seed) + Normal(random))];
            StitchPitch found = StitchPitch.Find(y, step)!;
            errors.Add(found.PitchMm - pitch);
            claimed += found.UMm / 40;
        }
        double bound = 1.88e-5 / step * pitch * pitch;
        Assert.InRange(Math.Sqrt(errors.Average(e => e * e)), 0.6 * bound, 1.5 * bound);
        Assert.InRange(claimed, 0.8 * bound, 1.3 * bound);
    }

    /// <summary>G6, negative control: white noise has no stitches.</summary>
    [Fact]
    public void StitchPitch_OfNoise_IsSilent()
    {
        int claimed = 0;
        for (int seed = 0; seed < 100; seed++)
        {
            var random = new Random(seed);
            if (StitchPitch.Find([.. Enumerable.Range(0, 1200).Select(_ => Normal(random))], 1 / 8.0) is not null) claimed++;
        }
        Assert.Equal(0, claimed);
    }

    private static double Normal(Random r) => Math.Sqrt(-2 * Math.Log(1 - r.NextDouble())) * Math.Cos(2 * Math.PI * r.NextDouble());
}
