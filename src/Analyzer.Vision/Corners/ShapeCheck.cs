using Analyzer.Core.Geometry;

namespace Analyzer.Vision.Corners;

/// <summary>Whether a rectangle of known proportions can look like this to a camera.</summary>
/// <remarks>H = K [r1 r2 t]: with the right focal length the first two columns of K⁻¹H are of one length and at right angles (Zhang, IEEE PAMI 22(11), 2000, section 2.3).</remarks>
internal static class ShapeCheck
{
    /// <summary>Focal lengths tried when the camera did not note its own, in units of the longer side of the picture (0.72 is a phone's main camera, from memory).</summary>
    private static readonly double[] Guesses = [0.6, 0.72, 0.9, 1.2, 1.8, 3.0, 8.0];

    /// <summary>Length and angle misfit of the best focal length: about ln(width ratio) and cosine of the corner, added in squares.</summary>
    public static double Misfit((double X, double Y)[] corners, double aspect, int width, int height, double? focalPx)
    {
        Homography h;
        try
        {
            h = Homography.FromFourPoints([(0, 0), (aspect, 0), (aspect, 1), (0, 1)],
                [.. corners.Select(p => (p.X - (width - 1) / 2.0, p.Y - (height - 1) / 2.0))]);
        }
        catch (ArgumentException)
        {
            return double.PositiveInfinity;
        }
        IReadOnlyList<double> m = h.Rows;
        double best = double.PositiveInfinity;
        double longer = Math.Max(width, height);
        foreach (double guess in focalPx is { } known ? [known / longer] : Guesses)
        {
            double f = guess * longer;
            (double ax, double ay, double az) = (m[0] / f, m[3] / f, m[6]);
            (double bx, double by, double bz) = (m[1] / f, m[4] / f, m[7]);
            double a = Math.Sqrt(ax * ax + ay * ay + az * az), b = Math.Sqrt(bx * bx + by * by + bz * bz);
            double stretch = Math.Log(a / b), lean = (ax * bx + ay * by + az * bz) / (a * b);
            best = Math.Min(best, Math.Sqrt(stretch * stretch + lean * lean));
        }
        return best;
    }
}
