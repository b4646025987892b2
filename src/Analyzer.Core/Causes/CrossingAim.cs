using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Statistics;

namespace Analyzer.Core.Causes;

/// <summary>How the family stitched last meets the X that the other families made.</summary>
/// <param name="Family">Number of the family.</param>
/// <param name="Crossings">Crossings of three threads that could be judged.</param>
/// <param name="Lines">Lines of the family among them.</param>
/// <param name="MeanMissMm">Mean signed distance of its thread from the X, positive toward the family's n.</param>
/// <param name="MeanMissUMm">Standard uncertainty of that mean, lines taken as the units.</param>
/// <param name="ScatterMm">Standard deviation of the miss.</param>
public sealed record CrossingAim(int Family, int Crossings, int Lines, double MeanMissMm, double MeanMissUMm, double ScatterMm)
{
    /// <summary>Nodes closer together than this along a line leave no stretch between them to compare with, mm.</summary>
    private const double ClosestNodesMm = 20;

    private const double BumpHalfWidthMm = 5;

    /// <summary>Misses of the last family at every crossing of three families; null where fewer than three can be judged.</summary>
    public static CrossingAim? Of(IntendedGrid grid, IReadOnlyDictionary<string, TraceProfile> traces, int family)
    {
        var misses = new List<(string Line, double MissMm)>();
        foreach (GridNode node in grid.Nodes.Where(n => n.LineIds.Count >= 3))
        {
            TraceProfile[] here = [.. node.LineIds.Where(traces.ContainsKey).Select(id => traces[id])];
            TraceProfile? last = here.FirstOrDefault(t => t.Line.Family == family);
            TraceProfile[] others = [.. here.Where(t => t.Line.Family != family)];
            if (last is null || others.Length < 2) continue;
            if (TraceCrossing.Near(others[0], others[1], node.Position, TraceCrossing.HalfWindowMm)?.At is not { } x) continue;
            double along = last.AlongOf(x);
            if (last.LocalLine(along, TraceCrossing.HalfWindowMm) is not { } piece) continue;
            misses.Add((last.Line.Id, piece.At(along) - (last.Family.Across(x) - last.Family.Across(last.Line.From))));
        }
        if (misses.Count < 3) return null;
        double[] lineMeans = [.. misses.GroupBy(m => m.Line).Select(g => g.Average(m => m.MissMm))];
        double scatter = Moments.Sd([.. misses.Select(m => m.MissMm)]);
        double u = lineMeans.Length > 1 ? Moments.Sd(lineMeans) / Math.Sqrt(lineMeans.Length) : scatter / Math.Sqrt(misses.Count);
        return new CrossingAim(family, misses.Count, lineMeans.Length, misses.Average(m => m.MissMm), u, scatter);
    }

    /// <summary>
    /// Takes kinks at the crossings out of the last family's remainders and returns the mean square per line, mm², that they carried.
    /// A kink is the thread's place at the node against 4 to 7 mm beside it; counted only where kinks at the nodes are larger than the same measure
    /// half-way between nodes (permutation test, 5 %), and only by the excess.
    /// </summary>
    internal static Dictionary<string, double> TakeOut(IntendedGrid grid, IReadOnlyList<ModelLine> lines, int family, int seed)
    {
        var kinks = new List<(ModelLine Line, double At, double Size, bool AtNode)>();
        foreach (ModelLine line in lines.Where(l => l.Trace.Line.Family == family))
        {
            double[] nodes = [.. grid.Nodes.Where(n => n.LineIds.Count >= 3 && n.LineIds.Contains(line.Trace.Line.Id)).Select(n => line.Trace.AlongOf(n.Position)).Order()];
            for (int i = 0; i < nodes.Length; i++)
            {
                if (Kink(line, nodes[i]) is { } size) kinks.Add((line, nodes[i], size, true));
                if (i == 0 || nodes[i] - nodes[i - 1] < ClosestNodesMm) continue;
                double between = (nodes[i] + nodes[i - 1]) / 2;
                if (Kink(line, between) is { } control) kinks.Add((line, between, control, false));
            }
        }
        double[] at = [.. kinks.Where(k => k.AtNode).Select(k => k.Size * k.Size)], beside = [.. kinks.Where(k => !k.AtNode).Select(k => k.Size * k.Size)];
        var carried = new Dictionary<string, double>();
        if (at.Length < 5 || beside.Length < 5 || at.Average() <= beside.Average() || PermutationP(at, beside, seed) > 0.05) return carried;
        double excess = 1 - beside.Average() / at.Average(), part = 1 - Math.Sqrt(1 - excess);
        foreach (var group in kinks.Where(k => k.AtNode).GroupBy(k => k.Line))
        {
            double[] remainder = group.Key.Shape.Remainder;
            IReadOnlyList<double> along = group.Key.Trace.AlongMm;
            double before = remainder.Sum(r => r * r);
            foreach (var kink in group)
                for (int i = 0; i < remainder.Length; i++)
                {
                    double d = Math.Abs(along[i] - kink.At) / BumpHalfWidthMm;
                    if (d < 1) remainder[i] -= part * kink.Size * 0.5 * (1 + Math.Cos(Math.PI * d));
                }
            carried[group.Key.Trace.Line.Id] = (before - remainder.Sum(r => r * r)) / remainder.Length;
        }
        return carried;
    }

    private static double? Kink(ModelLine line, double at)
    {
        double inside = 0, beside = 0;
        int insideCount = 0, left = 0, right = 0;
        IReadOnlyList<double> along = line.Trace.AlongMm;
        for (int i = 0; i < along.Count; i++)
        {
            double d = along[i] - at;
            if (Math.Abs(d) <= 1.5) (inside, insideCount) = (inside + line.Shape.Remainder[i], insideCount + 1);
            else if (Math.Abs(d) is >= 4 and <= 7)
            {
                beside += line.Shape.Remainder[i];
                if (d < 0) left++; else right++;
            }
        }
        return insideCount >= 2 && left >= 2 && right >= 2 ? inside / insideCount - beside / (left + right) : null;
    }

    private static double PermutationP(double[] a, double[] b, int seed)
    {
        const int shuffles = 999;
        var random = new Random(seed);
        double[] pool = [.. a, .. b];
        double seen = a.Average();
        int atLeast = 1;
        for (int s = 0; s < shuffles; s++)
        {
            double sum = 0;
            for (int i = 0; i < a.Length; i++)
            {
                int j = random.Next(i, pool.Length);
                (pool[i], pool[j]) = (pool[j], pool[i]);
                sum += pool[i];
            }
            if (sum / a.Length >= seen - 1e-15) atLeast++;
        }
        return (double)atLeast / (shuffles + 1);
    }
}
