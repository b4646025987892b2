using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;

namespace Analyzer.Bench;

/// <summary>
/// The Cramér-Rao bound of the thread's centre in one photo (external check E4) and the random error of the traces beside it. The scene is taken twice, so that the
/// second photo differs by its sensor's noise alone: the difference of both traces is the random error, the difference of both photos the noise. Both are those of the
/// very pixels the analyser gets: of the photo handed over uncompressed, or of the JPEG's decoded pixels.
/// </summary>
/// <remarks>
/// E4 takes the noise as white. A sensor's noise is not, once its colours are interpolated and sharpened, nor is a JPEG's; averaging along the line then takes off less of it. Fisher information
/// of one pixel of line in noise that hangs together is ∫ F'ᴴ S⁻¹ F' dν over the frequencies ν across the line (the asymptotic form for stationary Gaussian noise: Whittle; Kay, Estimation Theory,
/// 3.9, from memory): F' is the Fourier transform of the slopes of the mean profile across the true thread, three colours, S the 3 × 3 spectrum of the noise at frequency 0 along the line. For white
/// noise it is E4's ∫ f'ᵀ Σ⁻¹ f' dx, which is given too. Along the true lines, never from a trace; ground, width and height of the profile count as known.
/// The thread's own unevenness, the weave and the averaging over bends are the same in both photos: they are in neither, but in the error against truth, which is told beside.
/// </remarks>
/// <param name="BoundMm">Least standard deviation of one sample.</param>
/// <param name="WhiteBoundMm">The same if the noise of neighbouring pixels were independent.</param>
/// <param name="RandomMm">Standard deviation of a sample from photo to photo: 1.4826 times the median size of the differences, over √2.</param>
/// <param name="ErrorMm">The same of the samples' errors against truth about each line's own mean.</param>
internal sealed record NoiseBound(double BoundMm, double WhiteBoundMm, double RandomMm, double ErrorMm)
{
    /// <summary>Length over which a sample of the traces averages, mm: what the three rounds with a Gaussian of 0.6 mm pass of white noise, 2.09 times its scale.</summary>
    public const double SampleLengthMm = 2.09 * 0.6;

    public double Ratio => RandomMm / BoundMm;

    /// <summary>Null where too little was traced in both photos to compare.</summary>
    /// <param name="photo">The pixels the analyser got, and the scene's truth.</param>
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
        if (differences.Count < 50 || errors.Count < 50 || ThreadInformation.Of(photo, again) is not { } pixel) return null;
        double Bound(double information) => 1 / Math.Sqrt(SampleLengthMm * pixel.PxPerMm * information) / pixel.PxPerMm;
        return new NoiseBound(Bound(pixel.OfAPixel), Bound(pixel.IfWhite), 1.4826 * Middle(differences) / Math.Sqrt(2), 1.4826 * Middle(errors));
    }

    private static double Middle(List<double> values) => values.Order().ElementAt(values.Count / 2);
}
