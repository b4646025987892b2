namespace Analyzer.Vision.Corners;

/// <summary>Whether a rectangle of known proportions can look like this to a camera.</summary>
/// <remarks>H = K [r1 r2 t]: with the right focal length the first two columns of K⁻¹H are of one length and at right angles (Zhang, IEEE PAMI 22(11), 2000, section 2.3).</remarks>
internal static class ShapeCheck
{
    /// <summary>Focal lengths tried when the camera did not note its own, in units of the longer side of the picture (0.72 is a phone's main camera, from memory).</summary>
    private static readonly double[] Guesses = [0.6, 0.72, 0.9, 1.2, 1.8, 3.0, 8.0];

    /// <summary>Length and angle misfit of the best focal length: about ln(width ratio) and cosine of the corner, added in squares.</summary>
    public static double Misfit(ReadOnlySpan<(double X, double Y)> corners, double aspect, EvidenceMap map, double? focalPx)
    {
        // Unit square to quad in closed form (Heckbert, Fundamentals of texture mapping, 1989, section 2.2.3), about the picture's middle.
        double cx = map.MiddleX, cy = map.MiddleY;
        double x0 = corners[0].X - cx, y0 = corners[0].Y - cy, x1 = corners[1].X - cx, y1 = corners[1].Y - cy;
        double x2 = corners[2].X - cx, y2 = corners[2].Y - cy, x3 = corners[3].X - cx, y3 = corners[3].Y - cy;
        double dx1 = x1 - x2, dx2 = x3 - x2, sx = x0 - x1 + x2 - x3, dy1 = y1 - y2, dy2 = y3 - y2, sy = y0 - y1 + y2 - y3;
        double den = dx1 * dy2 - dx2 * dy1;
        if (Math.Abs(den) < 1e-9) return double.PositiveInfinity;
        double g = (sx * dy2 - dx2 * sy) / den, h = (dx1 * sy - sx * dy1) / den;
        double ax = x1 - x0 + g * x1, ay = y1 - y0 + g * y1, bx = x3 - x0 + h * x3, by = y3 - y0 + h * y3;
        double longer = map.LongerPx, logAspect = Math.Log(aspect);
        ReadOnlySpan<double> all = [0.9 * (focalPx ?? 0), focalPx ?? 0, 1.1 * (focalPx ?? 0)];
        // What the camera noted is good to about a tenth: stabilisers crop, and near focus lengthens.
        double least = double.PositiveInfinity;
        foreach (double guess in focalPx is null ? Guesses : all)
        {
            double f = focalPx is null ? guess * longer : guess;
            double aa = (ax * ax + ay * ay) / (f * f) + g * g, bb = (bx * bx + by * by) / (f * f) + h * h, ab = (ax * bx + ay * by) / (f * f) + g * h;
            double lean = ab * ab / (aa * bb);
            if (lean >= least) continue;
            double stretch = 0.5 * Math.Log(aa / bb) - logAspect;
            least = Math.Min(least, stretch * stretch + lean);
        }
        return Math.Sqrt(least);
    }
}
