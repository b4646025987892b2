namespace Analyzer.Core.Deviation;

/// <summary>How the measuring noise of neighbouring samples hangs together: a white part and an exponentially fading part.</summary>
/// <remarks>ρ(0) = 1, ρ(d) = (1 - WhiteShare)·exp(-d/LengthMm). Length 0 means independent samples.</remarks>
/// <param name="LengthMm">Distance over which the correlated part falls to 1/e, mm.</param>
/// <param name="WhiteShare">Share of the variance that is independent from sample to sample, 0..1.</param>
public readonly record struct NoiseCorrelation(double LengthMm, double WhiteShare = 0)
{
    /// <summary>Beyond this many lengths the correlation (under 0.07 %) is left out.</summary>
    private const double ReachInLengths = 7.3;

    public double ReachMm => LengthMm * ReachInLengths;

    public double Rho(double distanceMm)
    {
        double d = Math.Abs(distanceMm);
        if (d == 0) return 1;
        return LengthMm > 0 ? (1 - WhiteShare) * Math.Exp(-d / LengthMm) : 0;
    }

    /// <summary>The sum over all pairs of a_i σ_i ρ_ij σ_j b_j: the covariance of two linear estimates Σ a y and Σ b y.</summary>
    public double Covariance(IReadOnlyList<double> alongMm, IReadOnlyList<double> sigmaMm, IReadOnlyList<double> a, IReadOnlyList<double> b)
    {
        double sum = 0;
        int n = alongMm.Count;
        for (int i = 0; i < n; i++)
        {
            double ai = a[i] * sigmaMm[i], bi = b[i] * sigmaMm[i];
            sum += ai * bi;
            for (int j = i + 1; j < n && alongMm[j] - alongMm[i] < ReachMm; j++)
                sum += Rho(alongMm[j] - alongMm[i]) * sigmaMm[j] * (ai * b[j] + bi * a[j]);
        }
        return sum;
    }
}
