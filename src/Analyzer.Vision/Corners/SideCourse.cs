namespace Analyzer.Vision.Corners;

/// <summary>The seam's course along a side: outward offset as a cubic of the place, with what is known of its ends.</summary>
/// <param name="Coefficients">Offset = c0 + c1·s + c2·(s² - 1/3) + c3·(5s³ - 3s)/2, mm, with s = -1 at the side's start and +1 at its end: place, slant, bow, and the sway of an S.</param>
/// <param name="Covariance">4 x 4 covariance of the coefficients, mm².</param>
/// <param name="ScatterMm">Root mean square residual, mm.</param>
/// <param name="Seen">Share of positions that carried the seam.</param>
/// <param name="Strength">Mean energy along the seam against the mean beside it, noise units.</param>
internal sealed record SideCourse(double LengthMm, double[] Coefficients, double[,] Covariance, double ScatterMm, double Seen, double Strength)
{
    /// <summary>What light from one side leaves uncertain of the seam's place, mm.</summary>
    public double LightUMm { get; init; }

    public double BowMm => -Coefficients[2];

    public const int Terms = 4;

    public static double[] Basis(double s) => [1, s, s * s - 1 / 3.0, (5 * s * s - 3) * s / 2];

    public double OffsetAt(double alongMm)
    {
        double[] basis = Basis(2 * alongMm / LengthMm - 1);
        double sum = 0;
        for (int i = 0; i < Terms; i++) sum += Coefficients[i] * basis[i];
        return sum;
    }

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
