using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Progress;

/// <summary>Speed against accuracy: wobble = base + slope·speed, the steering law's "speed allowed grows with the width tolerated" (Accot and Zhai 1997; Drury 1971).</summary>
/// <param name="SpeedMPerMin">Typical (median) speed, metres of line a minute.</param>
/// <param name="FallAtHalfPace">Share by which the wobble falls at half the typical speed, with its 95 % interval (Fieller).</param>
public sealed record SteeringLaw(double BaseMm, double SlopeMmMinPerM, double SpeedMPerMin, double FallAtHalfPace, double FallLow, double FallHigh, double P)
{
    public const int FewestBlocks = 8;

    public bool Shown => P <= 0.05 && FallLow > 0 && double.IsFinite(FallHigh);

    /// <summary>Null with fewer than eight blocks or hardly any change of pace.</summary>
    public static SteeringLaw? Fit(IReadOnlyList<double> minutesPerMetre, IReadOnlyList<double> wobbleMm)
    {
        double[] speed = [.. minutesPerMetre.Select(m => 1 / m)];
        if (speed.Length < FewestBlocks || speed.Max() < 1.2 * speed.Min()) return null;
        StraightLineFit fit = StraightLineFit.Of(speed, wobbleMm);
        double v = Samples.Median(speed), full = fit.At(v), half = fit.At(v / 2), t = Student.TwoSidedQuantile(0.05, fit.Df);
        double cov = fit.InterceptU * fit.InterceptU + v * v / 2 * fit.SlopeU * fit.SlopeU + 1.5 * v * fit.Correlation * fit.InterceptU * fit.SlopeU;
        double vf = Math.Pow(fit.UAt(v), 2), vh = Math.Pow(fit.UAt(v / 2), 2);
        // Fieller: all ratios r with (half - r full)² <= t² var(half - r full).
        double a = full * full - t * t * vf, b = half * full - t * t * cov, c = half * half - t * t * vh, d = b * b - a * c;
        (double low, double high) = a > 0 && d >= 0 ? ((b - Math.Sqrt(d)) / a, (b + Math.Sqrt(d)) / a) : (double.NegativeInfinity, double.PositiveInfinity);
        double p = Student.TwoSidedP(fit.Slope / fit.SlopeU, fit.Df);
        return new(fit.Intercept, fit.Slope, v, 1 - half / full, 1 - high, 1 - low, p);
    }
}
