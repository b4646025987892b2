using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Rectification;

/// <summary>The block's plane in the photo: the homography that four corners and the finished size fix.</summary>
public sealed class BlockPlane
{
    public BlockPlane(BlockCorners corners, BlockSize size)
    {
        Corners = corners;
        Size = size;
        (double X, double Y)[] block = [.. size.Corners().Select(p => (p.Xmm, p.Ymm))];
        (double X, double Y)[] photo = [.. corners.ToArray().Select(p => (p.X, p.Y))];
        PhotoFromBlock = Homography.FromFourPoints(block, photo);
        BlockFromPhoto = PhotoFromBlock.Inverse();
        PixelsPerMm = ScaleAt(new BlockPoint(size.WidthMm / 2, size.HeightMm / 2));
        WorstPixelsPerMm = size.Corners().Min(WorstScaleAt);
    }

    public BlockCorners Corners { get; }

    public BlockSize Size { get; }

    public Homography PhotoFromBlock { get; }

    public Homography BlockFromPhoto { get; }

    /// <summary>Photo pixels per millimetre at the middle of the block.</summary>
    public double PixelsPerMm { get; }

    /// <summary>Photo pixels per millimetre at the corner and in the direction where it is least.</summary>
    public double WorstPixelsPerMm { get; }

    public PhotoPoint ToPhoto(BlockPoint p)
    {
        (double x, double y) = PhotoFromBlock.Map(p.Xmm, p.Ymm);
        return new PhotoPoint(x, y);
    }

    /// <summary>Photo coordinates (x, y in turn) of points at even steps along a straight line in the block, as a remapping wants them.</summary>
    internal void FillRow(BlockPoint from, double stepXmm, double stepYmm, Span<float> xy)
    {
        IReadOnlyList<double> m = PhotoFromBlock.Rows;
        double px = m[0] * from.Xmm + m[1] * from.Ymm + m[2], py = m[3] * from.Xmm + m[4] * from.Ymm + m[5], pw = m[6] * from.Xmm + m[7] * from.Ymm + m[8];
        double qx = m[0] * stepXmm + m[1] * stepYmm, qy = m[3] * stepXmm + m[4] * stepYmm, qw = m[6] * stepXmm + m[7] * stepYmm;
        for (int j = 0; 2 * j < xy.Length; j++)
        {
            double w = 1 / (pw + j * qw);
            xy[2 * j] = (float)((px + j * qx) * w);
            xy[2 * j + 1] = (float)((py + j * qy) * w);
        }
    }

    /// <summary>Geometric mean scale at a point, px/mm.</summary>
    public double ScaleAt(BlockPoint p)
    {
        (double a, double b, double c, double d) = PhotoFromBlock.Jacobian(p.Xmm, p.Ymm);
        return Math.Sqrt(Math.Abs(a * d - b * c));
    }

    /// <summary>Smaller singular value of the map's derivative at a point, px/mm.</summary>
    private double WorstScaleAt(BlockPoint p)
    {
        (double a, double b, double c, double d) = PhotoFromBlock.Jacobian(p.Xmm, p.Ymm);
        double sum = a * a + b * b + c * c + d * d, det = a * d - b * c;
        return Math.Sqrt(Math.Max(0, (sum - Math.Sqrt(Math.Max(0, sum * sum - 4 * det * det))) / 2));
    }
}
