namespace Analyzer.Vision.Tracing;

/// <summary>Whether a line is dashed as stitching is: its height along the line rises and falls once a stitch.</summary>
/// <param name="Rho">Autocorrelation of the height by lag, in steps of the strip.</param>
/// <param name="GroundRho">The part of it that the ground beside the line has too: its own autocorrelation, in shares of the line's energy.</param>
internal sealed record DashReading(double Correlation, double Ratio, double? PeriodMm, double[] Rho, double[] GroundRho)
{
    /// <summary>Stitch lengths looked for, mm (common practice, no source).</summary>
    public const double ShortestMm = 1.3, LongestMm = 4.6;

    /// <summary>Longest stitch with its gap in hand quilting, mm (common practice, no source), and from which unevenness against the ground it is looked for: a print has such distances too.</summary>
    private const double LongestByHandMm = 10, UnevenByHand = 5;

    /// <summary>Where the ground beside gives more than this share of a peak, the peak is its print's: the cloth that stitches pucker gives far less.</summary>
    private const double MostOfGround = 0.15;

    public static DashReading Of(double[] height, double[] weight, GroundNoise ground)
    {
        double[] band = BandPassed(height, weight, out bool[] seen);
        double energy = Energy(band, seen);
        (double[] Band, bool[] Seen)[] sides = [.. ground.Heights.Select(g => (BandPassed(g.Height, g.Weight, out bool[] s), s))];
        double[] energies = [.. sides.Select(g => Energy(g.Band, g.Seen))];
        double beside = energies.DefaultIfEmpty(0).Average();
        double[][] rhos = [.. sides.Zip(energies, (g, e) => Autocorrelation(g.Band, g.Seen, e))];
        double[] groundRho = [.. Enumerable.Range(0, LastByHand + 2).Select(lag => energy > 0 ? rhos.Select((r, k) => r[lag] * energies[k]).DefaultIfEmpty(0).Average() / energy : 0)];
        double ratio = beside > 0 ? Math.Sqrt(energy / beside) : 0;
        double[] rho = Autocorrelation(band, seen, energy);
        (double peak, double period) = Peak(rho, Last);
        return new DashReading(peak, ratio, peak > 0.15 ? period : null, rho, groundRho);
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

    private const int First = (int)(ShortestMm / ThreadStrip.AlongStepMm), Last = (int)(LongestMm / ThreadStrip.AlongStepMm), LastByHand = (int)(LongestByHandMm / ThreadStrip.AlongStepMm);

    private static double[] Autocorrelation(double[] x, bool[] seen, double energy)
    {
        var rho = new double[LastByHand + 2];
        if (!(energy > 0)) return rho;
        for (int lag = First - 1; lag <= LastByHand + 1; lag++)
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
        return rho;
    }

    /// <summary>Peak of the mean autocorrelation of several lines: chance averages out, the machine's stitch length stays. A distance at which the ground beside them repeats as well is its print's.</summary>
    /// <param name="ratio">Unevenness along the lines over the ground's.</param>
    /// <param name="inTheMiddle">The lines' very middle changes more than the ground: the repeat is their own, and what the ground has of it a neighbouring row's.</param>
    public static double CommonPeak(IReadOnlyList<(double[] Line, double[] Ground)> rhos, double ratio, bool inTheMiddle)
    {
        if (rhos.Count == 0) return 0;
        double[] Mean(Func<(double[] Line, double[] Ground), double[]> of) => [.. Enumerable.Range(0, LastByHand + 2).Select(lag => rhos.Average(r => of(r)[lag]))];
        return Peak(Mean(r => r.Line), ratio > UnevenByHand ? LastByHand : Last, inTheMiddle ? null : Mean(r => r.Ground)).Height;
    }

    private static (double Height, double PeriodMm) Peak(double[] rho, int last, double[]? ground = null)
    {
        (double best, double at) = (0, 0);
        for (int lag = First; lag <= last; lag++)
        {
            if (rho[lag] <= best || rho[lag] < rho[lag - 1] || rho[lag] < rho[lag + 1] || (ground is not null && ground[lag] > MostOfGround * rho[lag])) continue;
            double curve = rho[lag - 1] - 2 * rho[lag] + rho[lag + 1];
            double offset = curve < 0 ? 0.5 * (rho[lag - 1] - rho[lag + 1]) / curve : 0;
            (best, at) = (rho[lag], (lag + offset) * ThreadStrip.AlongStepMm);
        }
        return (best, at);
    }
}
