namespace Analyzer.Practice.Statistics;

/// <summary>Least-squares line y = intercept + slope·(x - x0) with covariance (JCGM 100:2008, H.3).</summary>
public sealed record StraightLineFit(double X0, double Intercept, double InterceptU, double Slope, double SlopeU, double Correlation, double ResidualSd, int Df)
{
    public static StraightLineFit Of(IReadOnlyList<double> x, IReadOnlyList<double> y, double x0 = 0)
    {
        int n = x.Count;
        double mx = x.Average() - x0, my = y.Average(), sxx = 0, sxy = 0;
        for (int i = 0; i < n; i++)
        {
            double dx = x[i] - x0 - mx;
            sxx += dx * dx;
            sxy += dx * (y[i] - my);
        }
        double slope = sxy / sxx, intercept = my - slope * mx, rss = 0;
        for (int i = 0; i < n; i++)
        {
            double e = y[i] - intercept - slope * (x[i] - x0);
            rss += e * e;
        }
        double s2 = rss / (n - 2), vi = s2 * (1.0 / n + mx * mx / sxx), vs = s2 / sxx;
        return new(x0, intercept, Math.Sqrt(vi), slope, Math.Sqrt(vs), -mx / Math.Sqrt(sxx / n + mx * mx), Math.Sqrt(s2), n - 2);
    }

    public double At(double x) => Intercept + Slope * (x - X0);

    /// <summary>Standard uncertainty of the line itself at x.</summary>
    public double UAt(double x)
    {
        double d = x - X0;
        return Math.Sqrt(InterceptU * InterceptU + d * d * SlopeU * SlopeU + 2 * d * Correlation * InterceptU * SlopeU);
    }
}
