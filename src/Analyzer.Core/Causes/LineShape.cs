using Analyzer.Core.Deviation;

namespace Analyzer.Core.Causes;

/// <summary>One profile taken apart into orthogonal polynomials (offset, angle, bow, cubic) and a remainder.</summary>
/// <remarks>
/// The polynomials are orthonormal over the samples, so the mean square of the profile is the sum of the squared amplitudes and the mean
/// square of the remainder. An amplitude is the r.m.s. deviation that its term alone causes, mm; the first is the mean offset itself.
/// </remarks>
internal sealed class LineShape
{
    /// <summary>Shorter profiles carry offset and angle only: a wobble cannot be told from a bow there.</summary>
    private const double ShortestForBowMm = 30;

    private LineShape(double[][] basis, double[] amplitude, double[] noise, double[] remainder, double remainderNoise) =>
        (Basis, Amplitude, AmplitudeNoise, Remainder, RemainderNoise) = (basis, amplitude, noise, remainder, remainderNoise);

    /// <summary>Orthonormal polynomials, by degree.</summary>
    public double[][] Basis { get; }

    public double[] Amplitude { get; }

    /// <summary>Noise variance of each amplitude, mm².</summary>
    public double[] AmplitudeNoise { get; }

    public double[] Remainder { get; }

    /// <summary>Mean square of the noise in the remainder, mm².</summary>
    public double RemainderNoise { get; }

    public static LineShape Of(IReadOnlyList<double> x, IReadOnlyList<double> y, IReadOnlyList<double> sigma, NoiseCorrelation noise)
    {
        int n = x.Count, degrees = x[^1] - x[0] >= ShortestForBowMm && n >= 12 ? 4 : 2;
        double mid = (x[0] + x[^1]) / 2, half = (x[^1] - x[0]) / 2, total = sigma.Sum(s => s * s), inPolynomials = 0;
        var basis = new double[degrees][];
        double[] amplitude = new double[degrees], variance = new double[degrees], remainder = [.. y];
        for (int d = 0; d < degrees; d++)
        {
            double[] v = [.. x.Select(at => Math.Pow((at - mid) / half, d))];
            for (int e = 0; e < d; e++) Subtract(v, basis[e], Dot(v, basis[e]));
            double norm = Math.Sqrt(Dot(v, v));
            for (int i = 0; i < n; i++) v[i] /= norm;
            basis[d] = v;
            double c = Dot(remainder, v);
            Subtract(remainder, v, c);
            amplitude[d] = c / Math.Sqrt(n);
            double energy = noise.Covariance(x, sigma, v, v);
            variance[d] = energy / n;
            inPolynomials += energy;
        }
        return new LineShape(basis, amplitude, variance, remainder, Math.Max(0, total - inPolynomials) / n);
    }

    /// <summary>Amplitude of a term in any other profile over the same samples, mm.</summary>
    public double AmplitudeOf(double[] profile, int degree) => Dot(profile, Basis[degree]) / Math.Sqrt(profile.Length);

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++) sum += a[i] * b[i];
        return sum;
    }

    private static void Subtract(double[] from, double[] what, double times)
    {
        for (int i = 0; i < from.Length; i++) from[i] -= times * what[i];
    }
}
