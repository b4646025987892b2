namespace Analyzer.Core.Deviation;

/// <summary>Reference line of one stitched line with its covariance: offset at mid-length and slope.</summary>
/// <remarks>
/// JCGM 100 (GUM) H.3 for the straight line with correlated intercept and slope; extended to samples of unequal, autocorrelated uncertainty:
/// the estimator is linear, offset = Σ a_i y_i, so u² = Σ a_i a_j σ_i σ_j ρ(|x_i - x_j|). Only the samples' own noise is in u; what the
/// corners add to place is added by the caller.
/// </remarks>
/// <param name="MidAlongMm">Position the offset refers to, mm along the line.</param>
/// <param name="OffsetMm">Reference line less intended line at that position, mm, positive toward n.</param>
/// <param name="Slope">Slope against the intended line, mm/mm, positive when the deviation grows along the line.</param>
/// <param name="OffsetUMm">Standard uncertainty of the offset, mm.</param>
/// <param name="SlopeU">Standard uncertainty of the slope.</param>
/// <param name="Covariance">Covariance of offset and slope, mm.</param>
public sealed record ReferenceLineFit(double MidAlongMm, double OffsetMm, double Slope, double OffsetUMm, double SlopeU, double Covariance)
{
    /// <summary>
    /// Turn of the stitched line against the intended one, degrees, counter-clockwise as seen (the family angle's own sense):
    /// a deviation growing toward n = down turns clockwise, so the sign is opposite to <see cref="Slope"/>.
    /// </summary>
    public double TurnCounterClockwiseDeg => -Math.Atan(Slope) * 180 / Math.PI;

    /// <summary>Angle in the sense of the deviation: atan(slope), degrees.</summary>
    public double AngleDeg => Math.Atan(Slope) * 180 / Math.PI;

    public double AngleUDeg => SlopeU / (1 + Slope * Slope) * 180 / Math.PI;

    /// <summary>Correlation of offset and slope; near 0 when the samples lie evenly around mid-length.</summary>
    public double Correlation => Covariance / (OffsetUMm * SlopeU);

    public double At(double alongMm) => OffsetMm + Slope * (alongMm - MidAlongMm);

    /// <summary>Standard uncertainty of the line's height at a position, mm.</summary>
    public double UAt(double alongMm)
    {
        double t = alongMm - MidAlongMm;
        return Math.Sqrt(Math.Max(0, OffsetUMm * OffsetUMm + t * t * SlopeU * SlopeU + 2 * t * Covariance));
    }

    public LeastSquaresLine ToLine() => new(LineFitKind.Vertical, MidAlongMm, OffsetMm, Math.Atan(Slope));

    /// <summary>Fits with exponential correlation of the given length; see the full overload.</summary>
    public static ReferenceLineFit Fit(
        IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, IReadOnlyList<double> sigmaMm, double correlationLengthMm, double? midAlongMm = null) =>
        Fit(alongMm, deviationMm, sigmaMm, new NoiseCorrelation(correlationLengthMm), midAlongMm);

    /// <summary>Fits a profile whose samples have standard uncertainty sigmaMm, correlated along the line.</summary>
    /// <param name="midAlongMm">Where the offset is taken; the middle of the samples when not given. Give half the intended line's length.</param>
    /// <param name="weight">How much each sample counts: 1, or less where it is unsure whether there is thread at all; all alike (the plain LSLI) where not given.</param>
    public static ReferenceLineFit Fit(
        IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, IReadOnlyList<double> sigmaMm, NoiseCorrelation noise,
        double? midAlongMm = null, IReadOnlyList<double>? weight = null)
    {
        ProfileCheck.SameLength(alongMm, deviationMm, sigmaMm);
        ProfileCheck.Ascending(alongMm);
        double mid = midAlongMm ?? (alongMm[0] + alongMm[^1]) / 2;
        (double[] forOffset, double[] forSlope) = Estimators(alongMm, mid, weight);
        double offset = 0, slope = 0;
        for (int i = 0; i < alongMm.Count; i++)
        {
            offset += forOffset[i] * deviationMm[i];
            slope += forSlope[i] * deviationMm[i];
        }
        double Cov(double[] a, double[] b) => noise.Covariance(alongMm, sigmaMm, a, b);
        return new ReferenceLineFit(mid, offset, slope,
            Math.Sqrt(Cov(forOffset, forOffset)), Math.Sqrt(Cov(forSlope, forSlope)), Cov(forOffset, forSlope));
    }

    /// <summary>The weights a and b with offset = Σ a y and slope = Σ b y.</summary>
    private static (double[] Offset, double[] Slope) Estimators(IReadOnlyList<double> x, double mid, IReadOnlyList<double>? weight)
    {
        int n = x.Count;
        double[] w = [.. weight ?? Enumerable.Repeat(1.0, n)];
        double sw = w.Sum(), mean = 0, sxx = 0;
        for (int i = 0; i < n; i++) mean += w[i] * x[i] / sw;
        for (int i = 0; i < n; i++) sxx += w[i] * (x[i] - mean) * (x[i] - mean);
        var offset = new double[n];
        var slope = new double[n];
        for (int i = 0; i < n; i++)
        {
            slope[i] = w[i] * (x[i] - mean) / sxx;
            offset[i] = w[i] / sw + (mid - mean) * slope[i];
        }
        return (offset, slope);
    }
}
