namespace Analyzer.Practice.Statistics;

/// <summary>Standard errors by leaving out or redrawing whole units.</summary>
public static class Resampling
{
    /// <summary>Delete-one jackknife standard error of a statistic of n units (Efron and Tibshirani 1993, chapter 11).</summary>
    public static double JackknifeStandardError(int units, Func<IReadOnlyList<int>, double> statistic)
    {
        int[] all = [.. Enumerable.Range(0, units)];
        double[] without = [.. all.Select(left => statistic([.. all.Where(i => i != left)]))];
        double mean = without.Average();
        return Math.Sqrt((units - 1.0) / units * without.Sum(v => (v - mean) * (v - mean)));
    }

    /// <summary>Bootstrap standard error: whole units redrawn with replacement.</summary>
    public static double BootstrapStandardError(int units, Func<IReadOnlyList<int>, double> statistic, int draws, int seed)
    {
        double[] values = Bootstrap(units, statistic, draws, seed);
        return Samples.StandardDeviation(values);
    }

    /// <summary>The statistic on each of many redraws of the units, in the order drawn.</summary>
    public static double[] Bootstrap(int units, Func<IReadOnlyList<int>, double> statistic, int draws, int seed)
    {
        var random = new Random(seed);
        var chosen = new int[units];
        var values = new double[draws];
        for (int draw = 0; draw < draws; draw++)
        {
            for (int i = 0; i < units; i++) chosen[i] = random.Next(units);
            values[draw] = statistic(chosen);
        }
        return values;
    }

    /// <summary>What the bootstrap standard error of a mean tends to with ever more draws: sqrt(sum of squares)/n.</summary>
    public static double IdealBootstrapOfMean(IReadOnlyList<double> x) =>
        Math.Sqrt(Samples.Variance(x) * (x.Count - 1) / x.Count / x.Count);
}
