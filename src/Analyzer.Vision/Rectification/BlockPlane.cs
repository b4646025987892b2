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

    /// <summary>Photo places of points at even steps along a straight line in the block.</summary>
    internal PhotoRow Row(BlockPoint from, double stepXmm, double stepYmm) => PhotoRow.Of(PhotoFromBlock, from.Xmm, from.Ymm, stepXmm, stepYmm);

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
