namespace Analyzer.Core.Statistics;

/// <summary>Student and F distributions from the incomplete beta function (continued fraction, Lentz; Numerical Recipes 6.4, from memory).</summary>
public static class SpecialFunctions
{
    /// <summary>Two-sided p of a t value.</summary>
    public static double StudentTwoSidedP(double t, double freedom) => IncompleteBeta(freedom / (freedom + t * t), freedom / 2, 0.5);

    /// <summary>Value of t that |t| exceeds with chance 1 - coverage.</summary>
    public static double StudentQuantile(double coverage, double freedom)
    {
        if (!(coverage > 0 && coverage < 1)) throw new ArgumentOutOfRangeException(nameof(coverage), coverage, "A coverage lies between 0 and 1.");
        double low = 0, high = 2;
        while (StudentTwoSidedP(high, freedom) > 1 - coverage) high *= 2;
        for (int i = 0; i < 100; i++)
        {
            double mid = (low + high) / 2;
            if (StudentTwoSidedP(mid, freedom) > 1 - coverage) low = mid; else high = mid;
        }
        return (low + high) / 2;
    }

    /// <summary>Chance that an F value with these degrees of freedom is larger.</summary>
    public static double FUpperP(double f, double freedom1, double freedom2) =>
        f <= 0 ? 1 : IncompleteBeta(freedom2 / (freedom2 + freedom1 * f), freedom2 / 2, freedom1 / 2);

    /// <summary>Regularised incomplete beta function I_x(a, b).</summary>
    public static double IncompleteBeta(double x, double a, double b)
    {
        if (x <= 0) return 0;
        if (x >= 1) return 1;
        double front = Math.Exp(LogGamma(a + b) - LogGamma(a) - LogGamma(b) + a * Math.Log(x) + b * Math.Log(1 - x));
        return x < (a + 1) / (a + b + 2) ? front * BetaFraction(x, a, b) / a : 1 - front * BetaFraction(1 - x, b, a) / b;
    }

    private static double BetaFraction(double x, double a, double b)
    {
        const double tiny = 1e-300;
        double c = 1, d = 1 - (a + b) * x / (a + 1);
        d = 1 / (Math.Abs(d) < tiny ? tiny : d);
        double h = d;
        for (int m = 1; m < 500; m++)
        {
            foreach (double term in new[] { m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)), -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)) })
            {
                d = 1 + term * d;
                d = 1 / (Math.Abs(d) < tiny ? tiny : d);
                c = 1 + term / c;
                if (Math.Abs(c) < tiny) c = tiny;
                h *= d * c;
            }
            if (Math.Abs(d * c - 1) < 1e-15) break;
        }
        return h;
    }

    /// <summary>ln Γ(x), x &gt; 0 (Lanczos, g = 7).</summary>
    public static double LogGamma(double x)
    {
        double[] k =
        [
            0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
            12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
        ];
        if (x < 0.5) return Math.Log(Math.PI / Math.Sin(Math.PI * x)) - LogGamma(1 - x);
        double sum = k[0], t = x + 6.5;
        for (int i = 1; i < 9; i++) sum += k[i] / (x - 1 + i);
        return 0.5 * Math.Log(2 * Math.PI) + (x - 0.5) * Math.Log(t) - t + Math.Log(sum);
    }
}
