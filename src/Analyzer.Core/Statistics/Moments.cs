namespace Analyzer.Core.Statistics;

/// <summary>Mean, spread and neighbour correlation of a series; plain, weighted and robust.</summary>
public static class Moments
{
    /// <summary>Mean by two passes, so that a large common value costs no digits.</summary>
    public static double Mean(IReadOnlyList<double> values)
    {
        if (values.Count == 0) return double.NaN;
        double first = values.Sum() / values.Count;
        return first + values.Sum(v => v - first) / values.Count;
    }

    /// <summary>Standard deviation with n - 1, NaN below two values.</summary>
    public static double Sd(IReadOnlyList<double> values)
    {
        if (values.Count < 2) return double.NaN;
        double mean = Mean(values);
        return Math.Sqrt(values.Sum(v => (v - mean) * (v - mean)) / (values.Count - 1));
    }

    /// <summary>Autocorrelation at a lag: Σ (y_t - m)(y_{t+lag} - m) / Σ (y_t - m)².</summary>
    public static double Autocorrelation(IReadOnlyList<double> values, int lag)
    {
        double mean = Mean(values), top = 0, bottom = 0;
        for (int i = 0; i < values.Count; i++)
        {
            bottom += (values[i] - mean) * (values[i] - mean);
            if (i + lag < values.Count) top += (values[i] - mean) * (values[i + lag] - mean);
        }
        return bottom > 0 ? top / bottom : double.NaN;
    }

    /// <summary>Number of independent values that give a mean as good as n values with neighbour correlation r (AR(1)): n (1 - r)/(1 + r).</summary>
    public static double EffectiveCountForMean(int n, double r) => n * (1 - r) / (1 + r);

    /// <summary>The same for a variance: n (1 - r²)/(1 + r²).</summary>
    public static double EffectiveCountForVariance(int n, double r) => n * (1 - r * r) / (1 + r * r);

    /// <summary>Weighted mean with weights 1/u² and its standard uncertainty.</summary>
    public static (double Mean, double U) WeightedMean(IReadOnlyList<double> values, IReadOnlyList<double> u)
    {
        double sw = 0, sum = 0;
        for (int i = 0; i < values.Count; i++)
        {
            double w = 1 / (u[i] * u[i]);
            sw += w;
            sum += w * values[i];
        }
        return (sum / sw, Math.Sqrt(1 / sw));
    }

    public static double Median(IReadOnlyList<double> values) => Quantile(values, 0.5);

    /// <summary>Quantile by linear interpolation between order statistics (R type 7).</summary>
    public static double Quantile(IReadOnlyList<double> values, double share)
    {
        if (values.Count == 0) return double.NaN;
        double[] sorted = [.. values];
        Array.Sort(sorted);
        double at = share * (sorted.Length - 1);
        int low = (int)at, high = Math.Min(low + 1, sorted.Length - 1);
        return sorted[low] + (at - low) * (sorted[high] - sorted[low]);
    }

    /// <summary>1.4826 × median absolute deviation: the standard deviation of normal data, unmoved by outliers.</summary>
    public static double RobustSd(IReadOnlyList<double> values)
    {
        double median = Median(values);
        return 1.4826 * Median([.. values.Select(v => Math.Abs(v - median))]);
    }

    /// <summary>Mean that values beyond about two robust standard deviations pull on less and beyond 4.685 not at all (Tukey's biweight).</summary>
    public static double RobustMean(IReadOnlyList<double> values)
    {
        double centre = Median(values), spread = RobustSd(values);
        if (!(spread > 0)) return centre;
        for (int turn = 0; turn < 30; turn++)
        {
            double sw = 0, sum = 0;
            foreach (double v in values)
            {
                double t = (v - centre) / (4.685 * spread), w = Math.Abs(t) < 1 ? (1 - t * t) * (1 - t * t) : 0;
                sw += w;
                sum += w * v;
            }
            double next = sum / sw;
            if (Math.Abs(next - centre) < 1e-12 * spread) return next;
            centre = next;
        }
        return centre;
    }
}
