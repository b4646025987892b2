using Analyzer.Core.Statistics;

namespace Analyzer.Practice.Comparing;

/// <summary>Wobble against wavelength, averaged over a block's lines (Lomb-Scargle, so gaps do no harm).</summary>
/// <param name="WavelengthMm">Wavelengths, shortest first.</param>
/// <param name="AmplitudeMm">Root mean square over lines of the sine amplitude that fits best at each wavelength; NaN where fewer than half of the lines are twice as long.</param>
internal sealed record WobbleSpectrum(double[] WavelengthMm, double[] AmplitudeMm)
{
    private const int Steps = 70;

    /// <summary>From two stitches to half the longest line: beyond, nothing can be told.</summary>
    public static double[] Wavelengths(double longestLineMm)
    {
        double low = LowPass.TwoStitchesMm, high = Math.Max(2 * low, longestLineMm / 2);
        return [.. Enumerable.Range(0, Steps + 1).Select(i => low * Math.Pow(high / low, (double)i / Steps))];
    }

    public static WobbleSpectrum Of(ComparedBlock block, double[] wavelengths)
    {
        var square = new double[wavelengths.Length];
        var count = new int[wavelengths.Length];
        double[] frequencies = [.. wavelengths.Select(w => 1 / w)];
        foreach (ComparedLine line in block.Lines)
        {
            double[] power = Spectrum.LombScargle(line.AlongMm, line.Residuals(), frequencies);
            for (int i = 0; i < power.Length; i++)
            {
                if (wavelengths[i] > line.LengthMm / 2) continue;
                // Scargle's power of a sine of amplitude A in n samples is nA²/4.
                square[i] += 4 * power[i] / line.SampleCount;
                count[i]++;
            }
        }
        return new(wavelengths, [.. square.Select((s, i) => 2 * count[i] < block.Lines.Count ? double.NaN : Math.Sqrt(s / count[i]))]);
    }
}
