namespace Analyzer.Core.Statistics;

/// <summary>One-sided power spectral density: power per unit of frequency; its sum times the step of frequency is the variance.</summary>
public sealed record PowerSpectrum(double[] Frequency, double[] Density, double FrequencyStep)
{
    /// <summary>Variance in a band of frequency, low included, high not.</summary>
    public double Power(double low, double high) =>
        Frequency.Zip(Density).Where(p => p.First >= low && p.First < high).Sum(p => p.Second) * FrequencyStep;

    /// <summary>Root mean square of waves from a shortest to a longest wavelength.</summary>
    public double BandRms(double shortestWave, double longestWave) => Math.Sqrt(Power(1 / longestWave, 1 / shortestWave));

    /// <summary>Frequencies of local maxima, strongest first.</summary>
    public IReadOnlyList<double> Peaks(int count) =>
        [.. Enumerable.Range(1, Math.Max(0, Density.Length - 2)).Where(i => Density[i] > Density[i - 1] && Density[i] >= Density[i + 1])
            .OrderByDescending(i => Density[i]).Take(count).Select(i => Frequency[i])];
}

/// <summary>Spectra of evenly and unevenly spaced series. Units: frequency is one over the unit of the step.</summary>
public static class Spectrum
{
    /// <summary>Periodogram of an evenly spaced series, mean removed.</summary>
    public static PowerSpectrum Periodogram(IReadOnlyList<double> values, double step)
    {
        double[] ones = [.. values.Select(_ => 1.0)];
        return Windowed(values, 0, ones, step);
    }

    /// <summary>Welch's averaged periodogram: Hann window, half overlap, mean of each segment removed (Welch 1967).</summary>
    public static PowerSpectrum Welch(IReadOnlyList<double> values, double step, int segment)
    {
        if (segment > values.Count) segment = values.Count;
        double[] hann = [.. Enumerable.Range(0, segment).Select(i => 0.5 - 0.5 * Math.Cos(2 * Math.PI * i / segment))];
        PowerSpectrum? sum = null;
        int count = 0;
        for (int start = 0; start + segment <= values.Count; start += Math.Max(1, segment / 2), count++)
        {
            PowerSpectrum one = Windowed(values, start, hann, step);
            if (sum is null) sum = one;
            else for (int i = 0; i < one.Density.Length; i++) sum.Density[i] += one.Density[i];
        }
        for (int i = 0; i < sum!.Density.Length; i++) sum.Density[i] /= count;
        return sum;
    }

    private static PowerSpectrum Windowed(IReadOnlyList<double> values, int start, double[] window, double step)
    {
        int n = window.Length;
        double mean = 0, energy = window.Sum(w => w * w);
        for (int i = 0; i < n; i++) mean += values[start + i] / n;
        double[] cosine = new double[n], sine = new double[n];
        for (int i = 0; i < n; i++) (sine[i], cosine[i]) = Math.SinCos(2 * Math.PI * i / n);
        double[] y = [.. Enumerable.Range(0, n).Select(i => (values[start + i] - mean) * window[i])];
        int half = n / 2;
        var frequency = new double[half + 1];
        var density = new double[half + 1];
        for (int k = 0; k <= half; k++)
        {
            double re = 0, im = 0;
            long phase = 0;
            for (int i = 0; i < n; i++)
            {
                re += y[i] * cosine[phase];
                im += y[i] * sine[phase];
                phase += k;
                if (phase >= n) phase -= n;
            }
            bool single = k == 0 || (n % 2 == 0 && k == half);
            frequency[k] = k / (n * step);
            density[k] = (single ? 1 : 2) * (re * re + im * im) * step / energy;
        }
        return new PowerSpectrum(frequency, density, 1 / (n * step));
    }

    /// <summary>Lomb-Scargle periodogram (Scargle 1982), mean removed: ½[(Σ y cos)²/Σ cos² + (Σ y sin)²/Σ sin²] with the phase that makes it free of the origin.</summary>
    public static double[] LombScargle(IReadOnlyList<double> at, IReadOnlyList<double> values, IReadOnlyList<double> frequencies)
    {
        double mean = Moments.Mean(values);
        return [.. frequencies.Select(f => LombScargleAt(at, values, mean, f))];
    }

    private static double LombScargleAt(IReadOnlyList<double> at, IReadOnlyList<double> values, double mean, double frequency)
    {
        double w = 2 * Math.PI * frequency, s2 = 0, c2 = 0;
        foreach (double t in at)
        {
            s2 += Math.Sin(2 * w * t);
            c2 += Math.Cos(2 * w * t);
        }
        double tau = Math.Atan2(s2, c2) / (2 * w), yc = 0, ys = 0, cc = 0, ss = 0;
        for (int i = 0; i < at.Count; i++)
        {
            (double s, double c) = Math.SinCos(w * (at[i] - tau));
            yc += (values[i] - mean) * c;
            ys += (values[i] - mean) * s;
            cc += c * c;
            ss += s * s;
        }
        return 0.5 * ((cc > 0 ? yc * yc / cc : 0) + (ss > 0 ? ys * ys / ss : 0));
    }
}
