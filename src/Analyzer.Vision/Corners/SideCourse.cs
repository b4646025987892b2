namespace Analyzer.Vision.Corners;

/// <summary>The seam's course along a side: outward offset as a polynomial of the place, with what is known of its ends.</summary>
/// <param name="Coefficients">Offset = c0 + c1·s + c2·(s² - 1/3) + the sum of ck·Pk(s), mm, with s = -1 at the side's start and +1 at its end and Pk the Legendre polynomials: place, slant, bow, the sway of an S, and shorter waves.</param>
/// <param name="Covariance">Covariance of the coefficients, mm².</param>
/// <param name="ScatterMm">Root mean square residual, mm.</param>
/// <param name="Seen">Share of positions that carried the seam.</param>
/// <param name="Strength">Mean energy along the seam against the mean beside it, noise units.</param>
internal sealed record SideCourse(double LengthMm, double[] Coefficients, double[,] Covariance, double ScatterMm, double Seen, double Strength)
{
    /// <summary>What light from one side leaves uncertain of the seam's place, mm.</summary>
    public double LightUMm { get; init; }

    public double BowMm => -Coefficients[2];

    /// <summary>Place, slant, bow, the sway of an S, and shorter waves.</summary>
    public const int Terms = 8;

    /// <summary>The terms at s; those from the third on are Legendre polynomials.</summary>
    public static double[] Basis(double s)
    {
        var basis = new double[Terms];
        (basis[0], basis[1], basis[2]) = (1, s, s * s - 1 / 3.0);
        double before = s, last = 1.5 * s * s - 0.5;
        for (int k = 3; k < Terms; k++) (before, last) = (last, basis[k] = ((2 * k - 1) * s * last - (k - 1) * before) / k);
        return basis;
    }

    /// <summary>The offset at s of a course of so many terms as are given, mm.</summary>
    public static double At(double[] coefficients, double s)
    {
        double sum = coefficients[0] + coefficients[1] * s + coefficients[2] * (s * s - 1 / 3.0), before = s, last = 1.5 * s * s - 0.5;
        for (int k = 3; k < coefficients.Length; k++)
        {
            (before, last) = (last, ((2 * k - 1) * s * last - (k - 1) * before) / k);
            sum += coefficients[k] * last;
        }
        return sum;
    }

    public double OffsetAt(double alongMm) => At(Coefficients, 2 * alongMm / LengthMm - 1);

    /// <summary>Covariance of the offsets at two places, mm².</summary>
    public double CovarianceAt(double along1Mm, double along2Mm)
    {
        double[] a = Basis(2 * along1Mm / LengthMm - 1), b = Basis(2 * along2Mm / LengthMm - 1);
        double sum = 0;
        for (int i = 0; i < Terms; i++)
            for (int j = 0; j < Terms; j++) sum += a[i] * Covariance[i, j] * b[j];
        return sum;
    }
}
