namespace Analyzer.Vision.Ends;

/// <summary>Stitches of one line: mean length and its u, and the spread of single stitches (one standard deviation, localisation noise taken out) with its u; mm.</summary>
public readonly record struct StitchReading(int Count, double MeanMm, double MeanUMm, double? SpreadMm, double? SpreadUMm);

/// <summary>Finds the needle holes along a line as the low places of the thread's height, one a stitch, and reads the stitch lengths from them.</summary>
/// <remarks>
/// The best sequence of lows with steps between 0.55 and 1.6 of the line's dash period, by dynamic programming. A hole read wrongly by e makes one
/// stitch longer and its neighbour shorter, so the covariance of neighbouring lengths is -e² where stitches are independent: twice that is taken out.
/// </remarks>
internal static class StitchReader
{
    /// <summary>Finest stitches read: photo pixels per stitch.</summary>
    public const double LeastPixels = 6;

    private const int FewestStitches = 8;

    private const double StretchPrice = 2.5;

    public static StitchReading? Read(ThreadHeights h, double periodMm, double pixelsPerMm)
    {
        if (periodMm * pixelsPerMm < LeastPixels) return null;
        double step = ThreadHeights.StepMm;
        int first = (int)Math.Round((ThreadHeights.BeyondMm + 1) / step), end = h.AlongMm.Length - first, n = end - first;
        if (n * step < FewestStitches * periodMm) return null;
        double[] low = Lows(h, first, n);
        int shortest = Math.Max(2, (int)(0.55 * periodMm / step)), longest = (int)Math.Ceiling(1.6 * periodMm / step);
        var score = new double[n];
        var from = new int[n];
        for (int i = 0; i < n; i++)
        {
            (score[i], from[i]) = (i < longest ? low[i] : double.NegativeInfinity, -1);
            for (int d = shortest; d <= longest && d <= i; d++)
            {
                double stretch = d * step / periodMm - 1, s = score[i - d] + low[i] - StretchPrice * stretch * stretch;
                if (s > score[i]) (score[i], from[i]) = (s, i - d);
            }
        }
        int at = Enumerable.Range(n - longest, longest).MaxBy(i => score[i]);
        var holes = new List<double>();
        for (int i = at; i >= 0; i = from[i]) holes.Add(Vertex(low, i) * step);
        holes.Reverse();
        // A stitch under a crossing or in a gap was guessed: it does not count.
        var lengths = new List<double?>();
        for (int k = 0; k + 1 < holes.Count; k++)
        {
            int a = first + (int)Math.Round(holes[k] / step), b = first + (int)Math.Round(holes[k + 1] / step);
            bool seen = Enumerable.Range(a - 3, b - a + 7).All(i => i >= 0 && i < h.IsSeen.Length && h.IsSeen[i]);
            lengths.Add(seen ? holes[k + 1] - holes[k] : null);
        }
        double[] own = [.. lengths.OfType<double>()];
        if (own.Length < FewestStitches) return null;
        double mean = own.Average(), variance = own.Sum(v => (v - mean) * (v - mean)) / (own.Length - 1), neighbours = 0;
        int pairs = 0;
        for (int k = 0; k + 1 < lengths.Count; k++)
            if (lengths[k] is { } p && lengths[k + 1] is { } q)
            {
                neighbours += (p - mean) * (q - mean);
                pairs++;
            }
        double noise = pairs >= 5 ? Math.Max(0, -neighbours / pairs) : 0;
        double spread2 = variance - 2 * noise, spreadU2 = variance * Math.Sqrt(2.0 / own.Length + 4.0 / Math.Max(5, pairs));
        double spread = Math.Sqrt(Math.Max(0, spread2)), u = spread > 0 ? Math.Min(Math.Sqrt(spreadU2), spreadU2 / (2 * spread)) : Math.Sqrt(spreadU2);
        bool tells = pairs >= FewestStitches && u < 0.5 * mean;
        return new StitchReading(own.Length, mean, Math.Sqrt(variance / own.Length), tells ? spread : null, tells ? u : null);
    }

    /// <summary>Autocorrelation of the line's rise and fall in the range of stitch lengths, by steps of lag, to the longest stitch.</summary>
    public static double[] Autocorrelation(ThreadHeights h)
    {
        int first = (int)Math.Round((ThreadHeights.BeyondMm + 1) / ThreadHeights.StepMm), n = h.AlongMm.Length - 2 * first, last = (int)(Tracing.DashReading.LongestMm / ThreadHeights.StepMm) + 2;
        var quick = new double[Math.Max(0, n)];
        var seen = new bool[quick.Length];
        double energy = 0;
        int count = 0;
        for (int i = 0; i < n; i++)
        {
            seen[i] = h.IsSeen[first + i];
            if (!seen[i]) continue;
            quick[i] = Mean(h, first + i, Dash) - Mean(h, first + i, Around);
            energy += quick[i] * quick[i];
            count++;
        }
        var rho = new double[last];
        for (int lag = 1; lag < last && energy > 0; lag++)
        {
            double sum = 0;
            int pairs = 0;
            for (int i = 0; i + lag < n; i++)
                if (seen[i] && seen[i + lag])
                {
                    sum += quick[i] * quick[i + lag];
                    pairs++;
                }
            rho[lag] = pairs > 30 ? sum / pairs / (energy / count) : 0;
        }
        return rho;
    }

    /// <summary>How much lower each place is than its surroundings, in units of the line's own unevenness.</summary>
    private static double[] Lows(ThreadHeights h, int first, int n)
    {
        var quick = new double[n];
        for (int i = 0; i < n; i++) quick[i] = Mean(h, first + i, Hole) - Mean(h, first + i, Around);
        double rms = Math.Sqrt(quick.Average(v => v * v));
        return [.. quick.Select(v => Math.Clamp(-v / Math.Max(1e-9, rms), -2.5, 2.5))];
    }

    private static readonly double[] Dash = Bell(0.3), Hole = Bell(0.22), Around = Bell(2.2);

    /// <summary>A bell's weights on one side, from its middle outwards.</summary>
    private static double[] Bell(double scaleMm)
    {
        int reach = (int)(2.2 * scaleMm / ThreadHeights.StepMm);
        return [.. Enumerable.Range(0, reach + 1).Select(d => Math.Exp(-0.5 * Math.Pow(d * ThreadHeights.StepMm / scaleMm, 2)))];
    }

    private static double Mean(ThreadHeights h, int at, double[] bell)
    {
        double sum = 0, weight = 0;
        int first = Math.Max(0, at - bell.Length + 1), last = Math.Min(h.Height.Length - 1, at + bell.Length - 1);
        for (int i = first; i <= last; i++)
        {
            if (!h.IsSeen[i]) continue;
            double w = bell[Math.Abs(i - at)];
            sum += w * h.Height[i];
            weight += w;
        }
        return weight > 0 ? sum / weight : 0;
    }

    private static double Vertex(double[] low, int i)
    {
        if (i == 0 || i + 1 >= low.Length) return i;
        double curve = low[i - 1] - 2 * low[i] + low[i + 1];
        return curve < 0 ? i + Math.Clamp(0.5 * (low[i - 1] - low[i + 1]) / curve, -0.5, 0.5) : i;
    }
}
