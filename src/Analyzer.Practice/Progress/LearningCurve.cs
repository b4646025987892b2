using MathNet.Numerics.Distributions;

namespace Analyzer.Practice.Progress;

/// <summary>y = floor + gain·exp(-rate·x): for one person's practice the exponential fits better than a power law (Heathcote, Brown and Mewhort 2000).</summary>
/// <param name="FloorLow">95 % interval of the floor by profile likelihood; 0 means "cannot be told from nothing".</param>
/// <param name="FloorHigh">Infinity where the data set no upper end.</param>
/// <param name="P">Of the curve against a flat line (F test).</param>
public sealed record LearningCurve(double Floor, double Gain, double Rate, double FloorLow, double FloorHigh, double ResidualSd, double P)
{
    public const int FewestBlocks = 6;

    private const int RateSteps = 240;

    public double At(double x) => Floor + Gain * Math.Exp(-Rate * x);

    /// <summary>x after which half of the gain is made.</summary>
    public double HalfWay => Math.Log(2) / Rate;

    /// <summary>Least squares with floor and gain not below zero; null with fewer than six blocks or no spread in x.</summary>
    public static LearningCurve? Fit(IReadOnlyList<double> x, IReadOnlyList<double> y)
    {
        double start = x.Count == 0 ? 0 : x.Min(), span = x.Count == 0 ? 0 : x.Max() - start;
        if (x.Count < FewestBlocks || x.Distinct().Count() < 4 || span <= 0) return null;
        double[] t = [.. x.Select(v => (v - start) / span)];
        double flat = y.Sum(v => Square(v - y.Average()));
        (double Rss, double Floor, double Gain, double Rate) best = (double.PositiveInfinity, 0, 0, 1);
        foreach (double rate in Rates())
        {
            (double rss, double floor, double gain) = Linear(t, y, rate, null);
            if (rss < best.Rss) best = (rss, floor, gain, rate);
        }
        int df = x.Count - 3;
        double limit = best.Rss * (1 + FisherSnedecor.InvCDF(1, df, 0.95) / df) + 1e-15;
        double f = (flat - best.Rss) / 2 / Math.Max(best.Rss / df, 1e-300);
        double p = f <= 0 ? 1 : 1 - FisherSnedecor.CDF(2, df, f);
        bool Fits(double floor) => Rates().Any(rate => Linear(t, y, rate, floor).Rss <= limit);
        double low = Edge(best.Floor, 0, Fits), top = 3 * y.Max(), high = Fits(top) ? double.PositiveInfinity : Edge(best.Floor, top, Fits);
        double rateX = best.Rate / span;
        return new(best.Floor, best.Gain * Math.Exp(rateX * start), rateX, low, high, Math.Sqrt(best.Rss / df), p);
    }

    /// <summary>Rates from a slow drift over the whole span to a drop within a fiftieth of it.</summary>
    private static IEnumerable<double> Rates()
    {
        for (int i = 0; i <= RateSteps; i++) yield return 0.2 * Math.Pow(250, (double)i / RateSteps);
    }

    private static (double Rss, double Floor, double Gain) Linear(double[] t, IReadOnlyList<double> y, double rate, double? fixedFloor)
    {
        double n = t.Length, se = 0, see = 0, sy = 0, sey = 0;
        for (int i = 0; i < t.Length; i++)
        {
            double e = Math.Exp(-rate * t[i]);
            se += e;
            see += e * e;
            sy += y[i];
            sey += e * y[i];
        }
        double floor, gain;
        if (fixedFloor is { } given) (floor, gain) = (given, Math.Max(0, (sey - given * se) / see));
        else
        {
            double det = n * see - se * se;
            (floor, gain) = det > 1e-14 ? ((sy * see - se * sey) / det, (n * sey - se * sy) / det) : (sy / n, 0);
            if (gain < 0) (floor, gain) = (sy / n, 0);
            if (floor < 0) (floor, gain) = (0, Math.Max(0, sey / see));
        }
        double rss = 0;
        for (int i = 0; i < t.Length; i++) rss += Square(y[i] - floor - gain * Math.Exp(-rate * t[i]));
        return (rss, floor, gain);
    }

    /// <summary>The last floor between a fitting and a far one that still fits.</summary>
    private static double Edge(double inside, double outside, Func<double, bool> fits)
    {
        if (fits(outside)) return outside;
        for (int i = 0; i < 40; i++)
        {
            double middle = (inside + outside) / 2;
            if (fits(middle)) inside = middle;
            else outside = middle;
        }
        return inside;
    }

    private static double Square(double v) => v * v;
}
