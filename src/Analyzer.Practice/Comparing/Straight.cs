namespace Analyzer.Practice.Comparing;

/// <summary>Least-squares line through a stretch of samples with STRq (r.m.s.) and STRt (peak to valley) about it, mm (ISO 12780-1).</summary>
internal readonly record struct Straight(double MeanAlong, double MeanDeviation, double Slope, double Rms, double Total)
{
    public double At(double alongMm) => MeanDeviation + Slope * (alongMm - MeanAlong);

    public static Straight Of(double[] along, double[] deviation, int from, int to)
    {
        int n = to - from;
        double ms = 0, md = 0, sxx = 0, sxy = 0;
        for (int i = from; i < to; i++)
        {
            ms += along[i];
            md += deviation[i];
        }
        ms /= n;
        md /= n;
        for (int i = from; i < to; i++)
        {
            double ds = along[i] - ms;
            sxx += ds * ds;
            sxy += ds * (deviation[i] - md);
        }
        double slope = sxx > 0 ? sxy / sxx : 0, sum = 0, low = double.PositiveInfinity, high = double.NegativeInfinity;
        for (int i = from; i < to; i++)
        {
            double e = deviation[i] - md - slope * (along[i] - ms);
            sum += e * e;
            low = Math.Min(low, e);
            high = Math.Max(high, e);
        }
        return new Straight(ms, md, slope, Math.Sqrt(sum / n), high - low);
    }
}
