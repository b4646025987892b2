namespace Analyzer.Practice.Statistics;

/// <summary>Gauge repeatability and reproducibility of parts x appraisers x trials by analysis of variance (AIAG MSA manual, 4th ed.).</summary>
/// <remarks>Here: blocks x people (or phones) x photos. The interaction is pooled into the error where its F says nothing (p above 0.25).</remarks>
public sealed record GaugeStudy(
    double AppraiserSs, double PartSs, double InteractionSs, double ErrorSs, double InteractionF, bool Pooled,
    double Ev, double Av, double Interaction, double Grr, double Pv, double Tv)
{
    public double GrrPercent => 100 * Grr / Tv;

    /// <summary>1.41 PV/GRR, before it is cut to a whole number.</summary>
    public double DistinctCategories => 1.41 * Pv / Grr;

    /// <param name="data">[appraiser][trial][part].</param>
    public static GaugeStudy Of(double[][][] data)
    {
        int o = data.Length, r = data[0].Length, p = data[0][0].Length;
        double grand = data.Average(a => a.Average(t => t.Average()));
        double Cell(int a, int part) => data[a].Average(t => t[part]);
        double ssO = data.Sum(a => p * r * Square(a.Average(t => t.Average()) - grand));
        double ssP = Enumerable.Range(0, p).Sum(i => o * r * Square(Enumerable.Range(0, o).Average(a => Cell(a, i)) - grand));
        double ssCells = 0, ssE = 0;
        for (int a = 0; a < o; a++)
            for (int i = 0; i < p; i++)
            {
                double mean = Cell(a, i);
                ssCells += r * Square(mean - grand);
                ssE += data[a].Sum(t => Square(t[i] - mean));
            }
        double ssI = ssCells - ssO - ssP;
        int dfI = (o - 1) * (p - 1), dfE = o * p * (r - 1);
        double f = ssI / dfI / (ssE / dfE);
        bool pool = 1 - MathNet.Numerics.Distributions.FisherSnedecor.CDF(dfI, dfE, f) > 0.25;
        double error = pool ? (ssI + ssE) / (dfI + dfE) : ssE / dfE, against = pool ? error : ssI / dfI;
        double interaction = pool ? 0 : Math.Max(0, (against - error) / r);
        double appraiser = Math.Max(0, (ssO / (o - 1) - against) / (p * r));
        double parts = Math.Max(0, (ssP / (p - 1) - against) / (o * r));
        double grr = error + appraiser + interaction;
        return new(ssO, ssP, ssI, ssE, f, pool, Math.Sqrt(error), Math.Sqrt(appraiser), Math.Sqrt(interaction), Math.Sqrt(grr), Math.Sqrt(parts), Math.Sqrt(grr + parts));
    }

    private static double Square(double v) => v * v;
}

/// <summary>The same study by the average and range method; K1 = 0.5908 (3 trials), K2 = 0.5231 (3 appraisers), K3 = 0.3146 (10 parts).</summary>
public sealed record RangeGaugeStudy(double MeanRange, double Ev, double Av, double Grr, double Pv)
{
    private const double K1 = 0.5908, K2 = 0.5231, K3 = 0.3146;

    public double Tv => Math.Sqrt(Grr * Grr + Pv * Pv);

    /// <summary>Three appraisers, three trials, ten parts: the constants belong to this layout.</summary>
    public static RangeGaugeStudy Of(double[][][] data)
    {
        if (data.Length != 3 || data[0].Length != 3 || data[0][0].Length != 10)
            throw new ArgumentException("The range method's constants here are for 3 appraisers, 3 trials and 10 parts.", nameof(data));
        double[] people = [.. data.Select(a => a.Average(t => t.Average()))];
        double[] parts = [.. Enumerable.Range(0, 10).Select(i => data.Average(a => a.Average(t => t[i])))];
        double range = data.Average(a => Enumerable.Range(0, 10).Average(i => a.Max(t => t[i]) - a.Min(t => t[i])));
        double ev = range * K1, spread = (people.Max() - people.Min()) * K2;
        double av = Math.Sqrt(Math.Max(0, spread * spread - ev * ev / 30));
        return new(range, ev, av, Math.Sqrt(ev * ev + av * av), (parts.Max() - parts.Min()) * K3);
    }
}
