using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Marks;

/// <summary>The drawn marks of a block as one kind.</summary>
/// <param name="Filter">For their width.</param>
/// <param name="View">The direction of colour they are followed in, scaled to unit noise at unit information.</param>
/// <param name="Height">Their usual height in that view.</param>
/// <param name="Persistence">How far the cloth's unevenness goes on from row to row: 1 for independent rows.</param>
/// <param name="Levels">Colour difference from the cloth, levels of the 8-bit photo.</param>
internal sealed record MarkColour(MarkFilter Filter, Colour3 View, double Height, double Persistence, double Levels)
{
    /// <summary>Widths of drawn lines tried, mm: fine pencil to blunt chalk (common practice, no source).</summary>
    private static readonly double[] Widths = [0.5, 0.8, 1.2, 1.8];

    /// <summary>A line's mark must stand out this many times the chance of its straight piece; one line in three may fail.</summary>
    private const double LeastSignal = 6, LeastShare = 0.6, OverChance = 1.6;

    /// <summary>Weakest mark told, levels of the 8-bit photo; and how far its colour must lie from a mere shade of the cloth.</summary>
    private const double LeastLevels = 4, LeastShadeAngleDeg = 11;

    /// <summary>The same for a mark that is only brighter: the lit side of a furrow is brighter too.</summary>
    private const double LeastBrightLevels = 12;

    /// <summary>Halo of a thread of the same hue: marks nearer than this to the thread on all lines are not believed.</summary>
    private const double HaloMm = 0.25;

    /// <summary>A straight band must explain this much more than one that sways with the thread.</summary>
    private const double Independent = 1.03;

    /// <summary>Marks whose hue differs from the thread's by more than this cosine are followed in a view that is blind to the thread.</summary>
    private const double OtherHue = 0.8;

    /// <summary>The kind of mark that the probed lines agree on, or null where they show none.</summary>
    public static MarkColour? Learn(IReadOnlyList<MarkStrip> probes, double threadWidthMm, double pixelsPerMm)
    {
        if (probes.Count < 3) return null;
        Colour3 ground = Ground(probes), thread = Thread(probes);
        foreach (bool byHue in new[] { true, false })
        {
            foreach (double width in Widths)
            {
                var filter = new MarkFilter(width, threadWidthMm, pixelsPerMm, withShade: !byHue);
                MarkHeights[] heights = Heights(probes, filter);
                MarkMetric metric = MarkMetric.Of(byHue, ground, [.. heights.SelectMany(h => h.Beside())]);
                if (Agreed(heights, metric, thread) is not { } difference) continue;
                (Colour3 view, bool blind) = ViewOf(metric, difference, thread);
                return Refined(probes, view, metric.Levels(difference), w => new MarkFilter(w, threadWidthMm, pixelsPerMm, withShade: !byHue, withHalo: !blind));
            }
        }
        return null;
    }

    private static MarkHeights[] Heights(IReadOnlyList<MarkStrip> strips, MarkFilter filter)
    {
        var heights = new MarkHeights[strips.Count];
        Parallel.For(0, heights.Length, i => heights[i] = new MarkHeights(strips[i], filter));
        return heights;
    }

    private static (Colour3 View, bool BlindToThread) ViewOf(MarkMetric metric, Colour3 difference, Colour3 thread)
    {
        (double tx, double ty) = metric.View(thread);
        (double dx, double dy) = metric.View(difference);
        double levels = Math.Sqrt(tx * tx + ty * ty), cos = (tx * dx + ty * dy) / Math.Max(1e-9, levels * metric.Levels(difference));
        if (!metric.ByHue || levels < 3 || Math.Abs(cos) > OtherHue) return (metric.Discriminant(difference), false);
        double sign = -ty * dx + tx * dy < 0 ? -1 / levels : 1 / levels;
        return (metric.Unview(-sign * ty, sign * tx), true);
    }

    /// <summary>Width to a tenth of a millimetre (a band taken too narrow is pushed away from the thread), noise and height in the view chosen.</summary>
    private static MarkColour? Refined(IReadOnlyList<MarkStrip> probes, Colour3 view, double levels, Func<double, MarkFilter> filterOf)
    {
        (MarkColour? Colour, double Explained, double WithThread) best = (null, 0, 0);
        for (double width = 0.4; width <= 2.61; width *= 1.13)
        {
            MarkFilter filter = filterOf(width);
            MarkHeights[] heights = Heights(probes, filter);
            double noise = Math.Max(1e-6, 1.4826 * UpperMedian.Of(heights.SelectMany(h => h.Beside()).Select(v => Math.Abs(view.Dot(v)))));
            Colour3 unit = 1 / noise * view;
            var metric = MarkMetric.Along(unit);
            double persistence = MarkHeights.Persistence(heights, v => unit.Dot(v));
            var pieces = new Piece[heights.Length];
            Parallel.For(0, heights.Length, i => pieces[i] = Strongest(heights[i], metric, persistence, 0));
            double explained = pieces.Sum(p => p.Weight * Math.Pow(Math.Max(0, view.Dot(p.Height)), 2)), height = UpperMedian.Of(pieces.Select(p => unit.Dot(p.Height)));
            if (!(explained > best.Explained) || !(height > 0)) continue;
            Parallel.For(0, heights.Length, i => pieces[i] = Strongest(heights[i], metric, persistence, 0, withThread: true));
            double withThread = pieces.Sum(p => p.Weight * Math.Pow(Math.Max(0, view.Dot(p.Height)), 2));
            best = (new MarkColour(filter, unit, height, persistence, levels), explained, withThread);
        }
        // A drawn line goes its own straight way; halo, shadow and furrow sway with the thread.
        return best.Explained > Independent * best.WithThread ? best.Colour : null;
    }

    /// <summary>The colour difference that most probes' strongest bands share, or null.</summary>
    private static Colour3? Agreed(MarkHeights[] heights, MarkMetric metric, Colour3 thread)
    {
        double persistence = MarkHeights.Persistence(heights, v => metric.View(v).X);
        var strongest = new (Piece Near, double Chance)[heights.Length];
        Parallel.For(0, heights.Length, i => strongest[i] = (Strongest(heights[i], metric, persistence, 0), ByChance(heights[i], metric, persistence)));
        // A print's own stripes and petals stand out at many places; a mark stands out where the thread runs.
        double chance = UpperMedian.Of(strongest.Select(s => s.Chance));
        Piece[] pieces = [.. strongest.Select(s => s.Near).Where(p => p.Signal > Math.Max(LeastSignal, OverChance * chance))];
        if (pieces.Length < Math.Max(3, LeastShare * heights.Length)) return null;
        Colour3 mean = default;
        foreach (Piece p in pieces.OrderByDescending(p => p.Signal)) mean += Math.Min(p.Signal, 30) * (Math.Sign(metric.Dot(p.Height, mean)) < 0 ? 0.0 : 1.0) * p.Height;
        Piece[] agree = [.. pieces.Where(p => metric.Dot(p.Height, mean) > 0.85 * metric.Norm(p.Height) * metric.Norm(mean))];
        if (agree.Length < Math.Max(3, LeastShare * heights.Length)) return null;
        var difference = new Colour3(Middle(agree.Select(p => p.Height.L)), Middle(agree.Select(p => p.Height.A)), Middle(agree.Select(p => p.Height.B)));
        if (metric.Levels(difference) < (metric.ByHue ? LeastLevels : LeastBrightLevels)) return null;
        if (metric.ByHue)
        {
            double angle = Math.Asin(Math.Clamp(metric.Levels(difference) / Math.Max(1e-9, difference.Norm), 0, 1)) * 180 / Math.PI;
            if (angle < LeastShadeAngleDeg) return null;
        }
        else if (metric.View(difference).X < 0)
        {
            return null;
        }
        (double tx, double ty) = metric.View(thread);
        (double dx, double dy) = metric.View(difference);
        double cos = (tx * dx + ty * dy) / Math.Max(1e-9, metric.Levels(thread) * metric.Levels(difference));
        // A halo has the thread's own hue and sits on the thread; a mark of the same hue lies beside it on some lines.
        if (Math.Abs(cos) > 0.9 && Math.Sqrt(agree.Average(p => p.OffThreadMm * p.OffThreadMm)) < HaloMm) return null;
        return difference;
    }

    private readonly record struct Piece(Colour3 Height, double Signal, double Weight, double OffThreadMm);

    /// <summary>What the same search finds where no mark is: the stronger side's best.</summary>
    private static double ByChance(MarkHeights h, MarkMetric metric, double persistence) =>
        Math.Max(Strongest(h, metric, persistence, -3.3).Signal, Strongest(h, metric, persistence, 3.3).Signal);

    /// <summary>The straight line near a distance from the thread along which a band shows most, whatever its colour.</summary>
    private static Piece Strongest(MarkHeights h, MarkMetric metric, double persistence, double besideMm, bool withThread = false)
    {
        int n = h.Strip.AlongMm.Length;
        if (n < 8) return default;
        double half = Math.Max(1, (h.Strip.AlongMm[^1] - h.Strip.AlongMm[0]) / 2), full = h.Filter.Information.Max();
        double range = besideMm == 0 ? 1.5 : 0.75;
        Piece best = default;
        // Places in steps: where each row's search begins, and how far the line's tilt moves it.
        var place = new double[n];
        var tilt = new double[n];
        for (int i = 0; i < n; i++)
        {
            double t = h.Strip.AlongMm[i] - h.Mid;
            tilt[i] = t / half;
            place[i] = besideMm == 0 && !withThread ? h.Level + h.Slope * t - h.Strip.ThreadMm[i] : besideMm;
        }
        for (double offset = -range; offset <= range + 0.001; offset += 0.1)
            for (double end = -0.6; end <= 0.601; end += 0.2)
            {
                Colour3 sum = default;
                double weight = 0;
                for (int i = 0; i < n; i++)
                {
                    int k = (int)Math.Round((place[i] + offset + end * tilt[i]) / MarkFilter.StepMm) + MarkFilter.Half;
                    if (k < 0 || k >= MarkFilter.Count || !h.Filter.IsUsable[k]) continue;
                    double w = h.Filter.Information[k];
                    sum += w * h.At(i, k);
                    weight += w;
                }
                if (weight < n * 0.3 * full) continue;
                Colour3 height = 1 / weight * sum;
                double signal = metric.Norm(height) * Math.Sqrt(weight / persistence);
                if (signal > best.Signal) best = new Piece(height, signal, weight, offset);
            }
        return best;
    }

    private static Colour3 Ground(IReadOnlyList<MarkStrip> strips)
    {
        Colour3[] seen = [.. strips.SelectMany(s => s.Rows).SelectMany(r => new[] { r[4], r[MarkStrip.Across - 5] })];
        return new Colour3(Middle(seen.Select(v => v.L)), Middle(seen.Select(v => v.A)), Middle(seen.Select(v => v.B)));
    }

    private static Colour3 Thread(IReadOnlyList<MarkStrip> strips)
    {
        Colour3[] seen = [.. strips.SelectMany(s => s.Rows).Select(r => r[MarkStrip.Middle] - 0.5 * (r[MarkStrip.Middle - 18] + r[MarkStrip.Middle + 18]))];
        return new Colour3(Middle(seen.Select(v => v.L)), Middle(seen.Select(v => v.A)), Middle(seen.Select(v => v.B)));
    }

    private static double Middle(IEnumerable<double> values) => UpperMedian.Of(values);
}
