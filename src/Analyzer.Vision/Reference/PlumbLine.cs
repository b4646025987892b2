using Analyzer.Core.Geometry;

namespace Analyzer.Vision.Reference;

/// <summary>Measures the lens's bend from things known to be straight: printed marks, a ruler's edge, mat lines. Never from the stitched lines.</summary>
/// <remarks>Brown, Close-range camera calibration, Photogrammetric Engineering 37(8), 1971: the plumb-line method. One term only; the middle of the photo is the middle of the lens.</remarks>
public static class PlumbLine
{
    /// <summary>The lens that makes the lines straightest.</summary>
    /// <param name="lines">Points along each straight thing, photo px; at least three points a line.</param>
    /// <param name="start">Size of the photo and what is known beforehand; its U is used as prior knowledge.</param>
    public static LensBend Fit(IReadOnlyList<IReadOnlyList<PhotoPoint>> lines, LensBend start)
    {
        double k = 0, information = 0, variance = 1;
        double prior = start.U > 0 ? 1 / (start.U * start.U) : 0;
        int points = lines.Sum(l => l.Count), free = Math.Max(1, points - 2 * lines.Count - 1);
        for (int round = 0; round < 12; round++)
        {
            const double step = 1e-4;
            double[] here = Residuals(lines, start with { K = k }), more = Residuals(lines, start with { K = k + step }), less = Residuals(lines, start with { K = k - step });
            double up = 0, square = 0, down = 0;
            for (int i = 0; i < here.Length; i++)
            {
                double slope = (more[i] - less[i]) / (2 * step);
                up -= slope * here[i];
                down += slope * slope;
                square += here[i] * here[i];
            }
            variance = Math.Max(1e-4, square / free);
            information = down / variance;
            double move = (up / variance - prior * (k - start.K)) / (information + prior);
            k += Math.Clamp(move, -0.1, 0.1);
            if (Math.Abs(move) < 1e-9) break;
        }
        return start with { K = k, U = 1 / Math.Sqrt(information + prior) };
    }

    /// <summary>Distance of every straightened point from its line's best straight line, px.</summary>
    internal static double[] Residuals(IReadOnlyList<IReadOnlyList<PhotoPoint>> lines, LensBend lens)
    {
        var all = new List<double>();
        foreach (IReadOnlyList<PhotoPoint> line in lines)
        {
            PhotoPoint[] p = [.. line.Select(lens.Straighten)];
            double cx = p.Average(q => q.X), cy = p.Average(q => q.Y), xx = 0, xy = 0, yy = 0;
            foreach (PhotoPoint q in p)
            {
                xx += (q.X - cx) * (q.X - cx);
                xy += (q.X - cx) * (q.Y - cy);
                yy += (q.Y - cy) * (q.Y - cy);
            }
            double angle = 0.5 * Math.Atan2(2 * xy, xx - yy);
            (double sin, double cos) = Math.SinCos(angle);
            all.AddRange(p.Select(q => -sin * (q.X - cx) + cos * (q.Y - cy)));
        }
        return [.. all];
    }
}
