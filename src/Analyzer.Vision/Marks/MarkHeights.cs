using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Marks;

/// <summary>A strip's answers to one filter: the band's height at every row and place beside the thread.</summary>
internal sealed class MarkHeights
{
    /// <summary>Row by row the places, one after the other.</summary>
    private readonly Colour3[] _height;

    public MarkHeights(MarkStrip strip, MarkFilter filter)
    {
        (Strip, Filter) = (strip, filter);
        int n = strip.AlongMm.Length;
        _height = new Colour3[n * MarkFilter.Count];
        for (int i = 0; i < n; i++) filter.Heights(strip.Rows[i], _height.AsSpan(i * MarkFilter.Count, MarkFilter.Count));
        if (n < 2) return;
        double mid = strip.AlongMm.Average(), mean = strip.ThreadMm.Average();
        double slope = Enumerable.Range(0, n).Sum(i => (strip.AlongMm[i] - mid) * (strip.ThreadMm[i] - mean)) / Math.Max(1e-9, strip.AlongMm.Sum(s => (s - mid) * (s - mid)));
        (Mid, Level, Slope) = (mid, mean, slope);
    }

    /// <summary>Places on both sides where no mark of this line lies.</summary>
    private static readonly int[] Outside = [4, 9, 14, MarkFilter.Count - 15, MarkFilter.Count - 10, MarkFilter.Count - 5];

    public MarkStrip Strip { get; }

    public MarkFilter Filter { get; }

    /// <summary>The thread's own straight line: level at Mid, and slope.</summary>
    public double Mid { get; }

    public double Level { get; }

    public double Slope { get; }

    public Colour3 At(int row, int place) => _height[row * MarkFilter.Count + place];

    /// <summary>Place, as a fraction of a step, of a mark with the given deviation at a row; null out of reach.</summary>
    public (int Place, double Part)? PlaceOf(int row, double deviationMm)
    {
        double x = (deviationMm - Strip.ThreadMm[row]) / MarkFilter.StepMm + MarkFilter.Half;
        int k = (int)Math.Floor(x);
        return Math.Abs(deviationMm - Strip.ThreadMm[row]) > MarkFilter.ReachMm || !Filter.IsUsable[k] || !Filter.IsUsable[k + 1] ? null : (k, x - k);
    }

    /// <summary>Band heights to both sides, scaled to unit information: the cloth's own unevenness.</summary>
    public IEnumerable<Colour3> Beside()
    {
        foreach (int place in Outside)
            for (int i = 0; i < Strip.AlongMm.Length; i++) yield return Math.Sqrt(Filter.Information[place]) * At(i, place);
    }

    /// <summary>How far a row's unevenness goes on into the next rows: 1 for independent rows.</summary>
    public static double Persistence(IEnumerable<MarkHeights> all, Func<Colour3, double> view)
    {
        double same = 0, next = 0;
        foreach (MarkHeights h in all)
            foreach (int place in Outside)
                for (int i = 0; i + 1 < h.Strip.AlongMm.Length; i++)
                {
                    if (h.Strip.AlongMm[i + 1] - h.Strip.AlongMm[i] > 1.5 * MarkStrip.RowMm) continue;
                    double a = view(h.At(i, place)), b = view(h.At(i + 1, place));
                    same += (a * a + b * b) / 2;
                    next += a * b;
                }
        double r = same > 0 ? Math.Clamp(next / same, 0, 0.9) : 0;
        return (1 + r) / (1 - r);
    }
}
