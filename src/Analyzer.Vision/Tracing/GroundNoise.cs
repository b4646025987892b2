namespace Analyzer.Vision.Tracing;

/// <summary>
/// The cloth's own noise, measured by fitting the thread's template where there is no thread: beside the line on both sides. Weave, print, compression and
/// camera noise come in with the very correlation they have on the line.
/// </summary>
/// <param name="ShiftSigma">Standard deviation of the shift coefficient after all rounds of averaging.</param>
/// <param name="HeightSigma">Standard deviation of the height coefficient at single steps.</param>
/// <param name="CorrelationMm">Distance over which the averaged shift's noise falls to 1/e.</param>
/// <param name="Heights">Single-step heights beside the line, both sides.</param>
internal sealed record GroundNoise(double ShiftSigma, double HeightSigma, double CorrelationMm, IReadOnlyList<(double[] Height, double[] Weight)> Heights)
{
    /// <summary>Shares of the usual distance at which the ground is looked at, the next nearer one where other lines leave too little of it free.</summary>
    private static readonly double[] Nearer = [1, 0.75, 0.55];

    private const int FewestPlaces = 40;

    /// <summary>Share of a place's neighbourhood that must be seen.</summary>
    private const double LeastSupport = 0.7;

    /// <summary>The averaged shift's noise on either side of the line at every step, not a number where it is not seen.</summary>
    public IReadOnlyList<double[]> Sides { get; init; } = [];

    public static GroundNoise Measure(ThreadFit fit, double[] centre, TracingSettings settings)
    {
        foreach (double share in Nearer)
            if (At(fit, centre, settings, [-share * settings.GroundShiftMm, share * settings.GroundShiftMm], false) is { } noise) return noise;
        // No free ground anywhere beside the line: its own unevenness stands in, dashes and quick wobble counted as noise.
        return At(fit, centre, settings, [0], true) ?? new GroundNoise(double.NaN, double.NaN, settings.AlongScaleMm, []);
    }

    /// <summary>The height's part of <see cref="Measure"/> alone.</summary>
    public static double HeightSpread(ThreadFit fit, double[] centre, TracingSettings settings)
    {
        var filter = new AlongFilter(settings.AlongScaleMm);
        int n = centre.Length;
        double[] height = new double[n], shift = new double[n], weight = new double[n], support = new double[n];
        foreach (double share in Nearer)
        {
            int places = 0;
            List<double> heights = [];
            foreach (double side in new[] { -share * settings.GroundShiftMm, share * settings.GroundShiftMm })
            {
                Beside(fit, centre, side, height, shift, weight);
                filter.Weigh(weight, support);
                for (int i = 0; i < n; i++)
                {
                    if (support[i] >= LeastSupport) places++;
                    if (weight[i] > 0) heights.Add(height[i]);
                }
            }
            if (places >= FewestPlaces) return Spread(heights);
        }
        return double.NaN;
    }

    /// <summary>The fit beside the line; only places that are seen whole count.</summary>
    private static void Beside(ThreadFit fit, double[] centre, double sideMm, double[] height, double[] shift, double[] weight)
    {
        fit.At(centre, sideMm, height, shift, weight);
        for (int i = 0; i < weight.Length; i++)
            if (weight[i] < 0.9) weight[i] = 0;
    }

    private static GroundNoise? At(ThreadFit fit, double[] centre, TracingSettings settings, double[] besideMm, bool onLine)
    {
        var filter = new AlongFilter(settings.AlongScaleMm);
        List<double> shifts = [], heights = [];
        var sides = new List<(double[], double[])>();
        var series = new List<double[]>();
        int n = centre.Length;
        foreach (double side in besideMm)
        {
            double[] height = new double[n], shift = new double[n], weight = new double[n];
            Beside(fit, centre, side, height, shift, weight);
            double[] total = Filtered(shift, weight, filter, settings.Rounds, out double[] support);
            for (int i = 0; i < n; i++)
            {
                if (support[i] < LeastSupport) total[i] = double.NaN;
                else shifts.Add(total[i]);
                if (weight[i] > 0) heights.Add(height[i]);
            }
            sides.Add((height, weight));
            series.Add(total);
        }
        if (shifts.Count < (onLine ? FewestPlaces / 4 : FewestPlaces)) return null;
        // The line's own heights say nothing of the ground's.
        return new GroundNoise(Spread(shifts), onLine ? double.NaN : Spread(heights), Correlation(series), onLine ? [] : sides) { Sides = onLine ? [] : series };
    }

    /// <summary>What the rounds of fit and shift make of pure noise: 1 - (1 - H)^rounds.</summary>
    private static double[] Filtered(double[] raw, double[] weight, AlongFilter filter, int rounds, out double[] support)
    {
        int n = raw.Length;
        support = new double[n];
        var total = new double[n];
        double[] mean = new double[n], rest = new double[n];
        filter.Weigh(weight, support);
        for (int round = 0; round < rounds; round++)
        {
            for (int i = 0; i < n; i++) rest[i] = raw[i] - total[i];
            filter.Average(rest, weight, support, mean);
            for (int i = 0; i < n; i++) total[i] += mean[i];
        }
        return total;
    }

    /// <summary>Mean of the robust and the plain spread: printed edges are part of the noise, but not all of it.</summary>
    private static double Spread(List<double> values)
    {
        double[] scratch = [.. values];
        double median = UpperMedian.OfScratch(scratch, scratch.Length);
        for (int i = 0; i < scratch.Length; i++) scratch[i] = Math.Abs(scratch[i] - median);
        double mad = 1.4826 * UpperMedian.OfScratch(scratch, scratch.Length);
        double rms = Math.Sqrt(values.Average(v => (v - median) * (v - median)));
        return Math.Sqrt((mad * mad + rms * rms) / 2);
    }

    private static double Correlation(List<double[]> series)
    {
        double variance = Lagged(series, 0);
        if (!(variance > 0)) return 1;
        for (int lag = 1; lag < 80; lag++)
        {
            double rho = Lagged(series, lag) / variance;
            if (rho < Math.Exp(-1)) return lag * ThreadStrip.AlongStepMm;
        }
        return 10;
    }

    private static double Lagged(List<double[]> series, int lag)
    {
        double sum = 0;
        int count = 0;
        foreach (double[] x in series)
            for (int i = 0; i + lag < x.Length; i++)
            {
                double product = x[i] * x[i + lag];
                if (double.IsNaN(product)) continue;
                sum += product;
                count++;
            }
        return count == 0 ? 0 : sum / count;
    }
}
