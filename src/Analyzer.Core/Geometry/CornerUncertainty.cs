using Analyzer.Core.Deviation;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Geometry;

/// <summary>What uncertain block corners do to places in the rectified block.</summary>
/// <remarks>
/// First order. A corner that was marked e (block mm) too far moves every measured place by -v, where v is the infinitesimal projective field
/// that takes the values e_k at the four corners: in coordinates X, Y = -1..1 over the block, v = (a + bX + cY + gX² + hXY, d + eX + fY + gXY + hY²).
/// The eight numbers follow in closed form from the corners. External check C9.
/// </remarks>
public sealed class CornerUncertainty
{
    private readonly BlockSize _size;

    /// <summary>Covariance of the eight corner coordinates in block mm, order x1, y1 ... x4, y4.</summary>
    private readonly double[,] _block;

    private CornerUncertainty(BlockSize size, double[,] blockCovariance) => (_size, _block) = (size, blockCovariance);

    /// <summary>All eight coordinates independent, with one standard uncertainty in px in the photo.</summary>
    public static CornerUncertainty Of(BlockCorners corners, BlockSize size)
    {
        var photo = new double[8, 8];
        for (int i = 0; i < 8; i++) photo[i, i] = corners.UncertaintyPx * corners.UncertaintyPx;
        return Of(corners, size, photo);
    }

    /// <summary>With a full 8 x 8 covariance in photo px², order x1, y1 ... x4, y4 from the top-left corner clockwise.</summary>
    public static CornerUncertainty Of(BlockCorners corners, BlockSize size, double[,] photoCovariance)
    {
        PhotoPoint[] photo = corners.ToArray();
        Homography blockFromPhoto = Homography.FromFourPoints([.. photo.Select(p => (p.X, p.Y))], [.. size.Corners().Select(c => (c.Xmm, c.Ymm))]);
        var j = new double[8, 8];
        for (int k = 0; k < 4; k++)
            (j[2 * k, 2 * k], j[2 * k, 2 * k + 1], j[2 * k + 1, 2 * k], j[2 * k + 1, 2 * k + 1]) = blockFromPhoto.Jacobian(photo[k].X, photo[k].Y);
        return new CornerUncertainty(size, Sandwich(j, photoCovariance));
    }

    /// <summary>All eight coordinates independent, with one standard uncertainty in mm in the block.</summary>
    public static CornerUncertainty OfMillimetres(BlockSize size, double uMm)
    {
        var block = new double[8, 8];
        for (int i = 0; i < 8; i++) block[i, i] = uMm * uMm;
        return new CornerUncertainty(size, block);
    }

    /// <summary>The same where the corners may all lie anywhere between where they are and such moves, with equal chance.</summary>
    /// <param name="movesMm">Moves of the eight corner coordinates together, x1, y1 ... x4, y4, mm in the block.</param>
    public CornerUncertainty OrMovedBy(IReadOnlyList<double> movesMm)
    {
        // Mean square of what is anywhere between 0 and m: m²/3 (JCGM 100, 4.3.7, about 0 instead of the middle).
        var block = (double[,])_block.Clone();
        for (int i = 0; i < 8; i++)
            for (int j = 0; j < 8; j++) block[i, j] += movesMm[i] * movesMm[j] / 3;
        return new CornerUncertainty(_size, block);
    }

    /// <summary>Covariance of place of a point seen in the photo, mm².</summary>
    public Covariance2 At(BlockPoint p)
    {
        (double[] x, double[] y) = Gradient(_size, p);
        return new Covariance2(Quadratic(x, x), Quadratic(x, y), Quadratic(y, y));
    }

    /// <summary>Standard uncertainty across a line at a point, mm.</summary>
    public double AcrossMm(LineFamily family, BlockPoint p) => Math.Sqrt(At(p).Along(family.AcrossX, family.AcrossY));

    /// <summary>Standard uncertainty of a line's offset at mid-length (mm) and angle (degrees) from the corners alone.</summary>
    /// <remarks>Least squares over the whole line; three Gauss points are exact, the field being quadratic along the line.</remarks>
    public (double OffsetUMm, double AngleUDeg) OfLine(GridLine line, LineFamily family)
    {
        double[] at = [-Math.Sqrt(0.6), 0, Math.Sqrt(0.6)], weight = [5.0 / 18, 8.0 / 18, 5.0 / 18];
        double[] offset = new double[8], slope = new double[8];
        double half = line.LengthMm / 2, mx = (line.From.Xmm + line.To.Xmm) / 2, my = (line.From.Ymm + line.To.Ymm) / 2, spread = 1.0 / 3 * half;
        for (int g = 0; g < 3; g++)
        {
            (double[] x, double[] y) = Gradient(_size, new BlockPoint(mx + family.AlongX * at[g] * half, my + family.AlongY * at[g] * half));
            for (int k = 0; k < 8; k++)
            {
                double across = family.AcrossX * x[k] + family.AcrossY * y[k];
                offset[k] += weight[g] * across;
                slope[k] += weight[g] * at[g] * across / spread;
            }
        }
        return (Math.Sqrt(Quadratic(offset, offset)), Math.Sqrt(Quadratic(slope, slope)) * 180 / Math.PI);
    }

    /// <summary>Root mean square over the corners of their standard uncertainty per coordinate, mm.</summary>
    public double TypicalMm => Math.Sqrt(Enumerable.Range(0, 8).Average(i => _block[i, i]));

    /// <summary>Movement of a measured place (x and y) per mm of each of the eight corner coordinates.</summary>
    public static (double[] X, double[] Y) Gradient(BlockSize size, BlockPoint p)
    {
        double[] signX = [-1, 1, 1, -1], signY = [-1, -1, 1, 1];
        double w = size.WidthMm / 2, h = size.HeightMm / 2, X = p.Xmm / w - 1, Y = p.Ymm / h - 1;
        double[] gx = new double[8], gy = new double[8];
        for (int k = 0; k < 4; k++)
        {
            double sx = signX[k], sy = signY[k], q = sx * sy / 4;
            // From e_x: h = mean(e sx sy); from e_y: g = mean(e sx sy); the corner means carry a + g and d + h.
            gx[2 * k] = -(0.25 + sx * X / 4 + sy * Y / 4 + q * X * Y);
            gy[2 * k] = -q * (Y * Y - 1) * h / w;
            gy[2 * k + 1] = -(0.25 + sx * X / 4 + sy * Y / 4 + q * X * Y);
            gx[2 * k + 1] = -q * (X * X - 1) * w / h;
        }
        return (gx, gy);
    }

    private double Quadratic(double[] a, double[] b)
    {
        double sum = 0;
        for (int i = 0; i < 8; i++)
            for (int j = 0; j < 8; j++) sum += a[i] * _block[i, j] * b[j];
        return sum;
    }

    private static double[,] Sandwich(double[,] j, double[,] c)
    {
        var half = new double[8, 8];
        var full = new double[8, 8];
        for (int r = 0; r < 8; r++)
            for (int k = 0; k < 8; k++)
                for (int i = 0; i < 8; i++) half[r, k] += j[r, i] * c[i, k];
        for (int r = 0; r < 8; r++)
            for (int k = 0; k < 8; k++)
                for (int i = 0; i < 8; i++) full[r, k] += half[r, i] * j[k, i];
        return full;
    }
}
