namespace Analyzer.Core.Geometry;

/// <summary>Lens with radial and decentring distortion (Brown-Conrady), and its pinhole.</summary>
/// <remarks>
/// Normalised points x = X/Z: r² = x² + y²; x'' = x(1 + k1 r² + k2 r⁴ + k3 r⁶) + 2 p1 x y + p2 (r² + 2x²); y'' likewise with p1 and p2 swapped;
/// u = fx x'' + cx. Order and signs as in the OpenCV calib3d reference. External check C5.
/// </remarks>
public sealed record LensModel(double Fx, double Fy, double Cx, double Cy, double K1, double K2, double P1, double P2, double K3)
{
    /// <summary>Normalised point without distortion to photo px.</summary>
    public PhotoPoint Project(double x, double y)
    {
        (double dx, double dy) = Distort(x, y);
        return new PhotoPoint(Fx * dx + Cx, Fy * dy + Cy);
    }

    public (double X, double Y) Distort(double x, double y)
    {
        double r2 = x * x + y * y, radial = 1 + r2 * (K1 + r2 * (K2 + r2 * K3));
        return (x * radial + 2 * P1 * x * y + P2 * (r2 + 2 * x * x), y * radial + P1 * (r2 + 2 * y * y) + 2 * P2 * x * y);
    }

    /// <summary>Photo px to the normalised point without distortion, by Newton's method; NaN where the lens folds over.</summary>
    public (double X, double Y) Unproject(PhotoPoint p)
    {
        double tx = (p.X - Cx) / Fx, ty = (p.Y - Cy) / Fy, x = tx, y = ty;
        for (int turn = 0; turn < 50; turn++)
        {
            (double dx, double dy) = Distort(x, y);
            double ex = dx - tx, ey = dy - ty;
            if (Math.Abs(ex) + Math.Abs(ey) < 1e-14) return (x, y);
            double r2 = x * x + y * y, radial = 1 + r2 * (K1 + r2 * (K2 + r2 * K3)), slope = 2 * (K1 + r2 * (2 * K2 + 3 * K3 * r2));
            double xx = radial + x * x * slope + 2 * P1 * y + 6 * P2 * x, xy = x * y * slope + 2 * P1 * x + 2 * P2 * y;
            double yy = radial + y * y * slope + 6 * P1 * y + 2 * P2 * x, det = xx * yy - xy * xy;
            x -= (yy * ex - xy * ey) / det;
            y -= (xx * ey - xy * ex) / det;
        }
        (double rx, double ry) = Distort(x, y);
        return Math.Abs(rx - tx) + Math.Abs(ry - ty) < 1e-9 ? (x, y) : (double.NaN, double.NaN);
    }

    /// <summary>Photo px to where the pixel would lie without distortion, px.</summary>
    public PhotoPoint Undistort(PhotoPoint p)
    {
        (double x, double y) = Unproject(p);
        return new PhotoPoint(Fx * x + Cx, Fy * y + Cy);
    }
}

/// <summary>Parallax of loft.</summary>
public static class LoftParallax
{
    /// <summary>Apparent outward shift, mm, of a point h above the corners' plane at radius r from the point below a camera at height D: r h/(D - h).</summary>
    public static double ShiftMm(double heightMm, double radiusMm, double cameraHeightMm) => radiusMm * heightMm / (cameraHeightMm - heightMm);
}
