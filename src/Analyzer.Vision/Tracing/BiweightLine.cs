namespace Analyzer.Vision.Tracing;

/// <summary>A straight line y = level + slope·x through places, those far off it left out (Tukey's biweight).</summary>
/// <param name="Weight">Sum of the places' weights, 1 for one on the line.</param>
/// <param name="SpreadMm2">Weighted variance of x: how far along the line the places reach, mm².</param>
internal readonly record struct BiweightLine(double Level, double Slope, double Weight, double SpreadMm2)
{
    /// <summary>Share of a place that misses the line by so much, 0 from the reach on.</summary>
    public static double Share(double missMm, double reachMm) => Math.Abs(missMm) > reachMm ? 0 : Math.Pow(1 - missMm * missMm / (reachMm * reachMm), 2);

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
