namespace Analyzer.Core.Deviation;

/// <summary>Minimum-zone reference lines of a profile: two parallel lines with the least separation that enclose it.</summary>
/// <remarks>
/// ISO 12780-1 (MZLI). Exact: the narrowest strip around a point set has one side along an edge of its convex hull
/// (rotating calipers), so every hull edge is tried with its farthest vertex.
/// </remarks>
/// <param name="WidthMm">Separation measured normal to the lines: STRt(MZLI).</param>
/// <param name="Slope">Slope of the lines, mm/mm.</param>
/// <param name="EdgeFrom">Number of the first sample on the side that touches two samples.</param>
/// <param name="EdgeTo">Number of the second sample on that side.</param>
/// <param name="Opposite">Number of the sample on the other side.</param>
public readonly record struct MinimumZoneLine(double WidthMm, double Slope, int EdgeFrom, int EdgeTo, int Opposite)
{
    /// <summary>Separation measured across the along-axis, mm.</summary>
    public double VerticalWidthMm => WidthMm * Math.Sqrt(1 + Slope * Slope);

    public static MinimumZoneLine Fit(IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm)
    {
        ProfileCheck.SameLength(alongMm, deviationMm);
        ProfileCheck.Ascending(alongMm);
        List<int> lower = Chain(alongMm, deviationMm, 1), upper = Chain(alongMm, deviationMm, -1);
        var best = new MinimumZoneLine(double.PositiveInfinity, 0, 0, 0, 0);
        foreach ((List<int> edges, List<int> opposite) in new[] { (lower, upper), (upper, lower) })
        {
            int far = opposite.Count - 1;
            for (int e = 0; e + 1 < edges.Count; e++)
            {
                int a = edges[e], b = edges[e + 1];
                double dx = alongMm[b] - alongMm[a], dy = deviationMm[b] - deviationMm[a];
                double length = Math.Sqrt(dx * dx + dy * dy);
                double Distance(int i) => Math.Abs(dx * (deviationMm[i] - deviationMm[a]) - dy * (alongMm[i] - alongMm[a])) / length;
                // As the edge turns, the farthest vertex only moves back along the other chain.
                while (far > 0 && Distance(opposite[far - 1]) >= Distance(opposite[far])) far--;
                double width = Distance(opposite[far]);
                if (width < best.WidthMm) best = new MinimumZoneLine(width, dy / dx, a, b, opposite[far]);
            }
        }
        return best;
    }

    /// <summary>Lower (side = 1) or upper (side = -1) hull by Andrew's monotone chain, from left to right.</summary>
    private static List<int> Chain(IReadOnlyList<double> x, IReadOnlyList<double> y, int side)
    {
        var hull = new List<int>();
        for (int i = 0; i < x.Count; i++)
        {
            while (hull.Count >= 2)
            {
                int a = hull[^2], b = hull[^1];
                double turn = (x[b] - x[a]) * (y[i] - y[a]) - (y[b] - y[a]) * (x[i] - x[a]);
                if (turn * side > 0) break;
                hull.RemoveAt(hull.Count - 1);
            }
            hull.Add(i);
        }
        return hull;
    }
}
