namespace Analyzer.Practice.Statistics;

/// <summary>Bland and Altman's limits of agreement of two ways to measure the same things (Lancet 1986; i: 307-310).</summary>
public sealed record MethodAgreement(
    double Bias, double StandardDeviation, double LowerLimit, double UpperLimit, double BiasStandardError, double BiasLow, double BiasHigh, double LimitStandardError)
{
    /// <param name="multiple">Standard deviations on each side of the bias; the paper uses 2.</param>
    public static MethodAgreement Of(IReadOnlyList<double> first, IReadOnlyList<double> second, double multiple = 1.959964)
    {
        double[] d = [.. first.Zip(second, (a, b) => a - b)];
        TestResult bias = Samples.OneSampleT(d);
        double sd = Samples.StandardDeviation(d);
        return new(bias.Estimate, sd, bias.Estimate - multiple * sd, bias.Estimate + multiple * sd,
            bias.StandardError, bias.Low, bias.High, Math.Sqrt(3 * sd * sd / d.Length));
    }
}

/// <summary>Spread of one thing measured twice, and the smallest change two single measurements can show.</summary>
public sealed record TestRetest(double StandardErrorOfMeasurement, double Repeatability, double MinimumDetectableChange)
{
    /// <summary>SEM = sqrt(Σd²/2n); repeatability 2·sqrt(Σd²/n); MDC95 = 1.96·√2·SEM (Bland and Altman 1986; Weir 2005).</summary>
    public static TestRetest Of(IReadOnlyList<double> first, IReadOnlyList<double> second)
    {
        double sum = first.Zip(second, (a, b) => (a - b) * (a - b)).Sum();
        double sem = Math.Sqrt(sum / (2 * first.Count));
        return new(sem, 2 * Math.Sqrt(sum / first.Count), DetectableChange(sem));
    }

    public static double DetectableChange(double sem) => 1.96 * Math.Sqrt(2) * sem;
}
