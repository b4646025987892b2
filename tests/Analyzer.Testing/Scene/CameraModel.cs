using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Testing.Scene;

/// <summary>A pinhole camera with a radial lens term, looking at the table's plane. Plane in mm, photo in px with pixel centres on whole numbers.</summary>
public sealed class CameraModel
{
    private readonly double _cx, _cy, _halfDiagonal, _k1, _k2;

    public CameraModel(CameraSettings settings, BlockSize size)
    {
        _cx = (settings.WidthPx - 1) / 2.0;
        _cy = (settings.HeightPx - 1) / 2.0;
        _halfDiagonal = Math.Sqrt((double)settings.WidthPx * settings.WidthPx + (double)settings.HeightPx * settings.HeightPx) / 2;
        (_k1, _k2) = (settings.K1, settings.K2);
        StraightFromPlane = PlaneMap(settings, size);
        PlaneFromStraight = StraightFromPlane.Inverse();
    }

    /// <summary>From the plane to the photo as it would be without lens distortion.</summary>
    public Homography StraightFromPlane { get; }

    public Homography PlaneFromStraight { get; }

    /// <summary>Plane mm to photo px, through perspective and lens.</summary>
    public PhotoPoint Project(double xMm, double yMm)
    {
        (double x, double y) = StraightFromPlane.Map(xMm, yMm);
        double ux = (x - _cx) / _halfDiagonal, uy = (y - _cy) / _halfDiagonal;
        double target = Math.Sqrt(ux * ux + uy * uy), r = target;
        if (target < 1e-12) return new PhotoPoint(x, y);
        for (int i = 0; i < 30; i++)
        {
            double r2 = r * r;
            double value = r * (1 + _k1 * r2 + _k2 * r2 * r2) - target;
            r -= value / (1 + 3 * _k1 * r2 + 5 * _k2 * r2 * r2);
        }
        return new PhotoPoint(_cx + ux * r / target * _halfDiagonal, _cy + uy * r / target * _halfDiagonal);
    }

    /// <summary>Photo px to where the pixel would lie without lens distortion.</summary>
    public (double X, double Y) Straighten(double xPx, double yPx)
    {
        double dx = (xPx - _cx) / _halfDiagonal, dy = (yPx - _cy) / _halfDiagonal, r2 = dx * dx + dy * dy;
        double k = (1 + _k1 * r2 + _k2 * r2 * r2) * _halfDiagonal;
        return (_cx + dx * k, _cy + dy * k);
    }

    /// <summary>Photo px to plane mm.</summary>
    public (double X, double Y) Unproject(double xPx, double yPx)
    {
        (double x, double y) = Straighten(xPx, yPx);
        return PlaneFromStraight.Map(x, y);
    }

    private Homography PlaneMap(CameraSettings s, BlockSize size)
    {
        double roll = s.RollDeg * Math.PI / 180, tilt = s.TiltDeg * Math.PI / 180, toward = s.TiltTowardDeg * Math.PI / 180;
        double focal = s.FocalFactor * Math.Max(s.WidthPx, s.HeightPx), depth = focal / s.PixelsPerMm;
        (double sr, double cr) = Math.SinCos(roll);
        (double st, double ct) = Math.SinCos(tilt);
        (double sa, double ca) = Math.SinCos(toward);
        // Turn in the plane, then lean about the axis across the direction of tilt: that direction is foreshortened and recedes.
        double[] Column(double x, double y)
        {
            double px = cr * x - sr * y, py = sr * x + cr * y;
            double along = ca * px - sa * py, across = sa * px + ca * py;
            double leaned = along * ct, back = along * st;
            return [ca * leaned + sa * across, -sa * leaned + ca * across, back];
        }
        double[] ex = Column(1, 0), ey = Column(0, 1), o = Column(-size.WidthMm / 2, -size.HeightMm / 2);
        double tx = s.ShiftXPx / s.PixelsPerMm, ty = s.ShiftYPx / s.PixelsPerMm;
        double[] origin = [o[0] + tx, o[1] + ty, o[2] + depth];
        return new Homography(
        [
            focal * ex[0] + _cx * ex[2], focal * ey[0] + _cx * ey[2], focal * origin[0] + _cx * origin[2],
            focal * ex[1] + _cy * ex[2], focal * ey[1] + _cy * ey[2], focal * origin[1] + _cy * origin[2],
            ex[2], ey[2], origin[2],
        ]);
    }
}
