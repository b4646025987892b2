namespace Analyzer.Core.Statistics;

/// <summary>Stitch length from the dashes of brightness along a line.</summary>
/// <param name="PitchMm">Mean length of one stitch, mm.</param>
/// <param name="UMm">Standard uncertainty, from the sharpness of the peak over the noise beside it.</param>
/// <param name="Strength">Height of the autocorrelation at one stitch, -1..1: how dashed the line is.</param>
public sealed record StitchPitch(double PitchMm, double UMm, double Strength)
{
    public double StitchesPerInch => Units.Length.MillimetresPerInch / PitchMm;

    /// <summary>Below this autocorrelation no stitches are claimed.</summary>
    public const double WeakestStrength = 0.15;

    /// <summary>Finds the pitch, or null where the dashes do not stand out.</summary>
    /// <remarks>
    /// The strongest Lomb-Scargle frequency, refined by a parabola; where the half frequency (every second dash) is nearly as strong the peak is
    /// taken as a harmonic. u is the bound for a sinusoid in white noise (Kay 1993): √(12/(η n (n²-1)))/(2π) cycles per sample, η the
    /// power of the wave over that of the rest.
    /// </remarks>
    public static StitchPitch? Find(IReadOnlyList<double> brightness, double stepMm, double shortestMm = 1.2, double longestMm = 5)
    {
        int n = brightness.Count;
        if (n * stepMm < 4 * longestMm || shortestMm < 3 * stepMm) return null;
        double length = n * stepMm, low = 1 / longestMm, high = 1 / shortestMm, fine = 1 / (6 * length);
        double[] at = [.. Enumerable.Range(0, n).Select(i => i * stepMm)];
        double[] frequency = [.. Enumerable.Range(0, (int)((high - low) / fine) + 1).Select(i => low + i * fine)];
        double[] power = Spectrum.LombScargle(at, brightness, frequency);
        int best = Array.IndexOf(power, power.Max());
        int half = (int)Math.Round((frequency[best] / 2 - low) / fine);
        if (half > 8 && power[(half - 8)..(half + 9)].Max() > 0.5 * power[best]) best = Array.IndexOf(power, power[(half - 8)..(half + 9)].Max());
        if (best == 0 || best == power.Length - 1) return null;
        double bend = power[best - 1] - 2 * power[best] + power[best + 1];
        double f = frequency[best] + (bend < 0 ? 0.5 * (power[best - 1] - power[best + 1]) / bend : 0) * fine;
        double strength = PitchCorrelation(brightness, 1 / (f * stepMm));
        if (!(strength >= WeakestStrength)) return null;
        double variance = Math.Pow(Moments.Sd(brightness), 2), wave = 2 * power[best] / n, rest = Math.Max(variance - wave, 1e-6 * variance);
        double u = Math.Sqrt(12 / (wave / rest * n * ((double)n * n - 1))) / (2 * Math.PI) / stepMm;
        return new StitchPitch(1 / f, u / (f * f), strength);
    }

    private static double PitchCorrelation(IReadOnlyList<double> values, double lag)
    {
        int low = (int)lag;
        double t = lag - low;
        return (1 - t) * Moments.Autocorrelation(values, low) + t * Moments.Autocorrelation(values, low + 1);
    }

    /// <summary>Bound of Kay for the frequency of a sinusoid, cycles per sample: amplitude over noise sd, n samples.</summary>
    public static double FrequencyBound(double amplitudeOverNoise, int n) =>
        Math.Sqrt(12 / (amplitudeOverNoise * amplitudeOverNoise / 2 * n * ((double)n * n - 1))) / (2 * Math.PI);
}
