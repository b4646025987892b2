namespace Analyzer.Core.Deviation;

/// <summary>Straightness parameters of a profile about its least-squares reference line, mm. As measured: noise is still in.</summary>
/// <remarks>
/// ISO 12780-1: STRp largest positive, STRv absolute value of the largest negative, STRt = STRp + STRv peak to valley,
/// STRq root mean square (divided by n, not n - 2). Samples count equally. For values with the noise removed see <see cref="NoiseFreeStraightness"/>.
/// STRt grows with the number of samples even for the same hand (see <see cref="ExpectedRange"/>): compare lines of equal length only.
/// </remarks>
public sealed record Straightness(LeastSquaresLine Reference, double PeakMm, double ValleyMm, double RmsMm)
{
    /// <summary>STRt about the least-squares line, mm.</summary>
    public double TotalMm => PeakMm + ValleyMm;

    public static Straightness Of(IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, LineFitKind kind = LineFitKind.Vertical) =>
        About(LeastSquaresLine.Fit(alongMm, deviationMm, kind), alongMm, deviationMm);

    /// <summary>The parameters about a given reference line.</summary>
    public static Straightness About(LeastSquaresLine line, IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm)
    {
        ProfileCheck.SameLength(alongMm, deviationMm);
        double high = double.NegativeInfinity, low = double.PositiveInfinity, sum = 0;
        for (int i = 0; i < alongMm.Count; i++)
        {
            double d = line.LocalDeviationMm(alongMm[i], deviationMm[i]);
            high = Math.Max(high, d);
            low = Math.Min(low, d);
            sum += d * d;
        }
        return new Straightness(line, high, -low, Math.Sqrt(sum / alongMm.Count));
    }
}
