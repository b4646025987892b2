namespace Analyzer.Vision.Tracing;

/// <summary>
/// Least-squares fit of one bar on the ground's columns to a profile, prepared: the columns are made orthonormal once (modified Gram-Schmidt),
/// after which each profile costs a few products.
/// </summary>
internal sealed class PreparedFit
{
    private const int Columns = 5;

    /// <summary>Order of the columns: the ground's level, slope, dip, then the one-sided shadow and the bar, whose coefficients are wanted.</summary>
    private readonly double[][] _q;

    private readonly double _shadowNorm, _barNorm, _barOnShadow;

    private PreparedFit(double centreMm, double widthMm, double blurMm, double[][] q, double shadowNorm, double barNorm, double barOnShadow)
    {
        (CentreMm, WidthMm, BlurMm, _q) = (centreMm, widthMm, blurMm, q);
        (_shadowNorm, _barNorm, _barOnShadow) = (shadowNorm, barNorm, barOnShadow);
    }

    public double CentreMm { get; }

    public double WidthMm { get; }

    public double BlurMm { get; }

    /// <param name="half">The profile has 2·half + 1 samples, its middle at 0 mm.</param>
    public static PreparedFit Of(double centreMm, double widthMm, double blurMm, int half, double stepMm, bool oneSidedStep = true)
    {
        int n = 2 * half + 1;
        var q = new double[Columns][];
        for (int k = 0; k < Columns; k++) q[k] = new double[n];
        for (int i = 0; i < n; i++)
        {
            double u = (i - half) * stepMm - centreMm;
            q[0][i] = 1;
            q[1][i] = u;
            q[2][i] = Math.Exp(-u * u / (2 * 0.65 * 0.65));
            q[3][i] = oneSidedStep ? Math.Tanh(u / ThreadTemplate.ShadowScaleMm) : 0;
            q[4][i] = ThreadTemplate.Bar(u, widthMm, blurMm);
        }
        double barOnShadow = 0;
        var norm = new double[Columns];
        for (int k = 0; k < Columns; k++)
        {
            for (int j = 0; j < k; j++)
            {
                double dot = Dot(q[j], q[k]);
                if (j == 3) barOnShadow = dot;
                for (int i = 0; i < n; i++) q[k][i] -= dot * q[j][i];
            }
            norm[k] = Math.Sqrt(Dot(q[k], q[k]));
            double scale = norm[k] > 1e-9 ? 1 / norm[k] : 0;
            for (int i = 0; i < n; i++) q[k][i] *= scale;
        }
        return new PreparedFit(centreMm, widthMm, blurMm, q, norm[3], norm[4], barOnShadow);
    }

    /// <summary>Sum of squared residuals, and the coefficients of the bar and of the one-sided shadow.</summary>
    public (double SquaredError, double Bar, double Shadow) To(double[] y)
    {
        double error = Dot(y, y), last = 0, third = 0;
        for (int k = 0; k < Columns; k++)
        {
            double c = Dot(_q[k], y);
            error -= c * c;
            if (k == 3) third = c;
            if (k == 4) last = c;
        }
        double bar = _barNorm > 1e-9 ? last / _barNorm : 0;
        double shadow = _shadowNorm > 1e-9 ? (third - _barOnShadow * bar) / _shadowNorm : 0;
        return (Math.Max(0, error), bar, shadow);
    }

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++) sum += a[i] * b[i];
        return sum;
    }
}
