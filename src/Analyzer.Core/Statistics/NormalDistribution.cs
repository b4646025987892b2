namespace Analyzer.Core.Statistics;

/// <summary>The standard normal distribution.</summary>
/// <remarks>erf by its Maclaurin series below 2.5 and erfc by its continued fraction above (Abramowitz and Stegun 7.1.5, 7.1.14, from memory).</remarks>
public static class NormalDistribution
{
    public static double Density(double x) => Math.Exp(-x * x / 2) / Math.Sqrt(2 * Math.PI);

    /// <summary>Chance of a value below x.</summary>
    public static double Cdf(double x)
    {
        double z = Math.Abs(x) / Math.Sqrt(2);
        double upper = Erfc(z) / 2;
        return x > 0 ? 1 - upper : upper;
    }

    /// <summary>Complementary error function of z at or above 0.</summary>
    private static double Erfc(double z)
    {
        if (z < 2.5)
        {
            double term = z, sum = z;
            for (int n = 1; n < 200 && Math.Abs(term) > 1e-18 * Math.Abs(sum); n++)
            {
                term *= -z * z / n;
                sum += term / (2 * n + 1);
            }
            return 1 - 2 / Math.Sqrt(Math.PI) * sum;
        }
        double fraction = 0;
        for (int n = 80; n >= 1; n--) fraction = n / 2.0 / (z + fraction);
        return Math.Exp(-z * z) / Math.Sqrt(Math.PI) / (z + fraction);
    }

    /// <summary>The value that a share p of the distribution lies below, 0 &lt; p &lt; 1.</summary>
    /// <remarks>Newton on the CDF from a rational start (Abramowitz and Stegun 26.2.23).</remarks>
    public static double Quantile(double p)
    {
        if (!(p > 0 && p < 1)) throw new ArgumentOutOfRangeException(nameof(p), p, "A share lies between 0 and 1.");
        double tail = Math.Min(p, 1 - p), t = Math.Sqrt(-2 * Math.Log(tail));
        double x = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
        for (int i = 0; i < 8; i++)
        {
            double step = (Cdf(-x) - tail) / Density(x);
            x += step;
            if (Math.Abs(step) < 1e-15 * Math.Abs(x)) break;
        }
        return p < 0.5 ? -x : x;
    }
}
