using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using OpenCvSharp;

namespace Analyzer.Vision.Corners;

/// <summary>Draws four rough corners to the true seams: a course along each side, corners where neighbouring courses meet.</summary>
internal sealed record CornerFit(PhotoPoint[] Corners, double[,] CovariancePx, SideCourse?[] Sides, double PixelsPerMm)
{
    /// <param name="reachMm">How far a side may lie from where it is assumed, mm.</param>
    /// <param name="pullPerMm">How much energy a millimetre of distance costs: a nearer seam is preferred to a stronger one farther off.</param>
    /// <param name="endMarginMm">Stretch left out at both ends of every side, mm.</param>
    /// <param name="isStraight">The sides cannot bow.</param>
    /// <param name="clearMm">How near the nearest other seam as strong runs to each side's.</param>
    /// <param name="bowsMm">The sides' bows where seams were chosen before: they are then looked for close by.</param>
    public static CornerFit? Of(Mat bgr, PhotoPoint[] rough, BlockSize size, double reachMm, double pullPerMm, double endMarginMm = SideStrip.EndMarginMm, bool isStraight = false, double[]? bowsMm = null, double[]? clearMm = null)
    {
        Homography photoFromBlock;
        try
        {
            photoFromBlock = Homography.FromFourPoints([.. size.Corners().Select(p => (p.Xmm, p.Ymm))], [.. rough.Select(p => (p.X, p.Y))]);
        }
        catch (ArgumentException)
        {
            return null;
        }
        double pixelsPerMm = PixelsPerMmAt(photoFromBlock, size.WidthMm / 2, size.HeightMm / 2);
        if (!(pixelsPerMm > 0.5)) return null;
        var sides = new SideCourse?[4];
        Parallel.For(0, 4, side =>
        {
            SideStrip strip = SideStrip.Take(bgr, photoFromBlock, size, side, reachMm + 2.2, pixelsPerMm, endMarginMm);
            sides[side] = SideFit.Fit(strip, SideStrip.Side(size, side).Length, reachMm, pullPerMm, isStraight, bowsMm?[side] ?? double.NaN, clearMm?[side] ?? double.PositiveInfinity);
        });
        var corners = new PhotoPoint[4];
        var jacobians = new (double Xx, double Xy, double Yx, double Yy)[4];
        for (int k = 0; k < 4; k++)
        {
            (double x, double y) = CornerMm(size, sides, k);
            (double px, double py) = photoFromBlock.Map(x, y);
            corners[k] = new PhotoPoint(px, py);
            jacobians[k] = photoFromBlock.Jacobian(x, y);
        }
        return new CornerFit(corners, ToPixels(CovarianceMm(size, sides, reachMm), jacobians), sides, pixelsPerMm);
    }

    /// <summary>Square root of the area one square millimetre takes in the photo, px per mm.</summary>
    public static double PixelsPerMmAt(Homography photoFromBlock, double xMm, double yMm)
    {
        (double xx, double xy, double yx, double yy) = photoFromBlock.Jacobian(xMm, yMm);
        return Math.Sqrt(Math.Abs(xx * yy - xy * yx));
    }

    /// <summary>Corner k ends side k-1 and starts side k; the outward direction of the one is the reverse of the other's along.</summary>
    public static (double X, double Y) CornerMm(BlockSize size, SideCourse?[] sides, int k)
    {
        SideCourse? before = sides[(k + 3) & 3], after = sides[k];
        double length = SideStrip.Side(size, (k + 3) & 3).Length;
        double a = 0, b = 0;
        for (int round = 0; round < 4; round++)
        {
            b = before?.OffsetAt(length + a) ?? 0;
            a = after?.OffsetAt(-b) ?? 0;
        }
        return SideStrip.PointAt(size, (k + 3) & 3, length + a, b);
    }

    /// <summary>Covariance of (x, y) of the four corners in block mm. A side that was not seen is known only to its search reach.</summary>
    private static double[,] CovarianceMm(BlockSize size, SideCourse?[] sides, double reachMm)
    {
        var result = new double[8, 8];
        // One light falls on all four: what it leaves uncertain of one side tells of the others too.
        double light = sides.Average(s => s is null ? 0 : s.LightUMm * s.LightUMm);
        for (int side = 0; side < 4; side++)
        {
            double length = SideStrip.Side(size, side).Length;
            (double ux, double uy) = (SideStrip.Side(size, side).Ux, SideStrip.Side(size, side).Uy);
            (double nx, double ny) = (uy, -ux);
            int start = side, end = (side + 1) & 3;
            double blind = reachMm * reachMm / 3;
            double ss = sides[side]?.CovarianceAt(0, 0) ?? blind, ee = sides[side]?.CovarianceAt(length, length) ?? blind, se = sides[side]?.CovarianceAt(0, length) ?? 0;
            (ss, ee, se) = (ss + light, ee + light, se + light);
            Add(result, start, start, nx, ny, ss);
            Add(result, end, end, nx, ny, ee);
            Add(result, start, end, nx, ny, se);
            Add(result, end, start, nx, ny, se);
        }
        return result;
    }

    private static void Add(double[,] c, int i, int j, double nx, double ny, double variance)
    {
        c[2 * i, 2 * j] += nx * nx * variance;
        c[2 * i, 2 * j + 1] += nx * ny * variance;
        c[2 * i + 1, 2 * j] += ny * nx * variance;
        c[2 * i + 1, 2 * j + 1] += ny * ny * variance;
    }

    private static double[,] ToPixels(double[,] mm, (double Xx, double Xy, double Yx, double Yy)[] jacobians)
    {
        var px = new double[8, 8];
        for (int i = 0; i < 4; i++)
            for (int j = 0; j < 4; j++)
            {
                double[,] a = { { jacobians[i].Xx, jacobians[i].Xy }, { jacobians[i].Yx, jacobians[i].Yy } };
                double[,] b = { { jacobians[j].Xx, jacobians[j].Xy }, { jacobians[j].Yx, jacobians[j].Yy } };
                for (int r = 0; r < 2; r++)
                    for (int s = 0; s < 2; s++)
                        for (int k = 0; k < 2; k++)
                            for (int m = 0; m < 2; m++)
                                px[2 * i + r, 2 * j + s] += a[r, k] * mm[2 * i + k, 2 * j + m] * b[s, m];
            }
        return px;
    }
}
