namespace Analyzer.Vision.Tracing;

/// <summary>A straight line y = level + slope·x through places, those far off it left out (Tukey's biweight).</summary>
/// <param name="Weight">Sum of the places' weights, 1 for one on the line.</param>
/// <param name="SpreadMm2">Weighted variance of x: how far along the line the places reach, mm².</param>
internal readonly record struct BiweightLine(double Level, double Slope, double Weight, double SpreadMm2)
{
    /// <summary>Share of a place that misses the line by so much, 0 from the reach on.</summary>
    public static double Share(double missMm, double reachMm)
    {
        double rest = 1 - missMm * missMm / (reachMm * reachMm);
        return rest < 0 ? 0 : rest * rest;
    }

    /// <summary>The value about which the others lie densest: their summed shares are greatest there. The first of equals.</summary>
    /// <remarks>
    /// A sum of shares is a polynomial in the value, so sums of powers over the sorted values serve every one of them; the time grows with n log n.
    /// </remarks>
    public static double Densest(double[] values, double reachMm)
    {
        int n = values.Length;
        double middle = values.Average(), square = reachMm * reachMm;
        double[] sorted = [.. values];
        Array.Sort(sorted);
        // powers[k][i]: sum of the k-th powers of the i smallest values, counted from their mean.
        double[][] powers = [.. Enumerable.Range(0, 5).Select(_ => new double[n + 1])];
        for (int i = 0; i < n; i++)
        {
            double power = 1, y = sorted[i] - middle;
            for (int k = 0; k < 5; k++, power *= y) powers[k][i + 1] = powers[k][i] + power;
        }
        var dense = new double[n];
        int from = 0, to = 0;
        for (int i = 0; i < n; i++)
        {
            while (sorted[from] < sorted[i] - reachMm) from++;
            while (to < n && sorted[to] <= sorted[i] + reachMm) to++;
            double d = sorted[i] - middle, p1 = Sum(1), p2 = Sum(2);
            double two = p2 - 2 * d * p1 + d * d * (to - from);
            double four = Sum(4) - 4 * d * Sum(3) + 6 * d * d * p2 - 4 * d * d * d * p1 + d * d * d * d * (to - from);
            dense[i] = to - from - 2 * two / square + four / (square * square);
            double Sum(int k) => powers[k][to] - powers[k][from];
        }
        double most = dense.Max() - 1e-9;
        return values.First(v => dense[Array.BinarySearch(sorted, v)] >= most);
    }

    /// <summary>One round: weights by the given line, then the line anew; null where the places do not fix one.</summary>
    public static BiweightLine? Next(IEnumerable<(double X, double Y)> places, double level, double slope, double reachMm)
    {
        double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
        foreach ((double x, double y) in places)
        {
            double w = Share(y - level - slope * x, reachMm);
            (n, sx, sy, sxx, sxy) = (n + w, sx + w * x, sy + w * y, sxx + w * x * x, sxy + w * x * y);
        }
        double det = n * sxx - sx * sx;
        if (!(det > 1e-6)) return null;
        double tilt = (n * sxy - sx * sy) / det;
        return new BiweightLine((sy - tilt * sx) / n, tilt, n, det / (n * n));
    }
}
