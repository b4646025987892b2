namespace Analyzer.Vision.Tracing;

/// <summary>Whether a line is dashed as stitching is: its height along the line rises and falls once a stitch.</summary>
internal sealed record DashReading(double Correlation, double Ratio, double? PeriodMm)
{
    /// <summary>Stitch lengths looked for, mm (common practice, no source).</summary>
    public const double ShortestMm = 1.3, LongestMm = 4.6;

    public static DashReading Of(double[] height, double[] weight, GroundNoise ground)
    {
        double[] band = BandPassed(height, weight, out bool[] seen);
        double energy = Energy(band, seen);
        double beside = ground.Heights.Select(g => Energy(BandPassed(g.Height, g.Weight, out bool[] s), s)).DefaultIfEmpty(0).Average();
        double ratio = beside > 0 ? Math.Sqrt(energy / beside) : 0;
        (double peak, double period) = Peak(band, seen, energy);
        return new DashReading(peak, ratio, peak > 0.15 ? period : null);
    }

    /// <summary>Height less its slow change, lightly smoothed.</summary>
    private static double[] BandPassed(double[] height, double[] weight, out bool[] seen)
    {
        int n = height.Length;
        double[] slow = new double[n], quick = new double[n], support = new double[n];
        new AlongFilter(2.2).Apply(height, weight, slow, support);
        new AlongFilter(0.3).Apply(height, weight, quick, support);
        seen = [.. support.Select(s => s > 0.5)];
        for (int i = 0; i < n; i++) quick[i] -= slow[i];
        return quick;
    }

    private static double Energy(double[] x, bool[] seen)
    {
        double sum = 0;
        int count = 0;
        for (int i = 0; i < x.Length; i++)
            if (seen[i])
            {
                sum += x[i] * x[i];
                count++;
            }
        return count == 0 ? 0 : sum / count;
    }

    private static (double Height, double PeriodMm) Peak(double[] x, bool[] seen, double energy)
    {
        if (!(energy > 0)) return (0, 0);
        int first = (int)(ShortestMm / ThreadStrip.AlongStepMm), last = (int)(LongestMm / ThreadStrip.AlongStepMm);
        var rho = new double[last + 2];
        for (int lag = first - 1; lag <= last + 1; lag++)
        {
            double sum = 0;
            int count = 0;
            for (int i = 0; i + lag < x.Length; i++)
                if (seen[i] && seen[i + lag])
                {
                    sum += x[i] * x[i + lag];
                    count++;
                }
            rho[lag] = count > 30 ? sum / count / energy : 0;
        }
        (double best, double at) = (0, 0);
        for (int lag = first; lag <= last; lag++)
        {
            if (rho[lag] <= best || rho[lag] < rho[lag - 1] || rho[lag] < rho[lag + 1]) continue;
            double curve = rho[lag - 1] - 2 * rho[lag] + rho[lag + 1];
            double offset = curve < 0 ? 0.5 * (rho[lag - 1] - rho[lag + 1]) / curve : 0;
            (best, at) = (rho[lag], (lag + offset) * ThreadStrip.AlongStepMm);
        }
        return (best, at);
    }
}
