namespace Analyzer.Vision.Corners;

/// <summary>The seam's course along a side: outward offset as a parabola of the place, with what is known of its ends.</summary>
/// <param name="Coefficients">Offset = c0 + c1·s + c2·(s² - 1/3), mm, with s = -1 at the side's start and +1 at its end.</param>
/// <param name="Covariance">3 x 3 covariance of the coefficients, mm².</param>
/// <param name="ScatterMm">Root mean square residual, mm.</param>
/// <param name="Seen">Share of positions that carried the seam.</param>
/// <param name="Strength">Mean energy along the seam against the mean beside it, noise units.</param>
internal sealed record SideCourse(double LengthMm, double[] Coefficients, double[,] Covariance, double ScatterMm, double Seen, double Strength)
{
    public double BowMm => -Coefficients[2];

    public static double[] Basis(double s) => [1, s, s * s - 1 / 3.0];

    public double OffsetAt(double alongMm)
    {
        double s = 2 * alongMm / LengthMm - 1;
        return Coefficients[0] + Coefficients[1] * s + Coefficients[2] * (s * s - 1 / 3.0);
    }

    /// <summary>Covariance of the offsets at two places, mm².</summary>
    public double CovarianceAt(double along1Mm, double along2Mm)
    {
        double[] a = Basis(2 * along1Mm / LengthMm - 1), b = Basis(2 * along2Mm / LengthMm - 1);
        double sum = 0;
        for (int i = 0; i < 3; i++)
            for (int j = 0; j < 3; j++) sum += a[i] * Covariance[i, j] * b[j];
        return sum;
    }
}
