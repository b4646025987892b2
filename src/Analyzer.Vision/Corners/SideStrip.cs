using System.Runtime.CompilerServices;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using OpenCvSharp;

namespace Analyzer.Vision.Corners;

/// <summary>A band of the photo along one side of the block, straightened: along the side in 1 mm steps, across it in fine steps, outward positive.</summary>
internal sealed class SideStrip
{
    /// <summary>Step along the side, mm, and how far colours are averaged along it (Gaussian), mm.</summary>
    public const double AlongStepMm = 1, AlongSmoothMm = 0.8;

    /// <summary>The ends of a side, where the other seams meet it, are left out, mm.</summary>
    public const double EndMarginMm = 3;

    private SideStrip(int count, int across, double acrossStepMm, double marginMm)
    {
        MarginMm = marginMm;
        Count = count;
        Across = across;
        AcrossStepMm = acrossStepMm;
        Values = new float[3][];
        for (int c = 0; c < 3; c++) Values[c] = new float[count * across];
        Inside = new bool[count];
    }

    public int Count { get; }

    public int Across { get; }

    public double AcrossStepMm { get; }

    /// <summary>Opponent colours, grey levels: Values[channel][position * Across + across].</summary>
    public float[][] Values { get; }

    /// <summary>Whether the photo covers the band at that position.</summary>
    public bool[] Inside { get; }

    public double MarginMm { get; }

    public double AlongMm(int position) => MarginMm + position * AlongStepMm;

    /// <summary>Outward distance from the assumed side, mm.</summary>
    public double OffsetMm(double across) => (across - (Across - 1) / 2.0) * AcrossStepMm;

    /// <summary>Corner, direction along and outward direction of a side: 0 top, 1 right, 2 bottom, 3 left, run clockwise.</summary>
    public static (BlockPoint Start, double Ux, double Uy, double Length) Side(BlockSize size, int side) => side switch
    {
        0 => (new BlockPoint(0, 0), 1, 0, size.WidthMm),
        1 => (new BlockPoint(size.WidthMm, 0), 0, 1, size.HeightMm),
        2 => (new BlockPoint(size.WidthMm, size.HeightMm), -1, 0, size.WidthMm),
        _ => (new BlockPoint(0, size.HeightMm), 0, -1, size.HeightMm),
    };

    /// <summary>Block point at a distance along a side and outward from it.</summary>
    public static (double X, double Y) PointAt(BlockSize size, int side, double alongMm, double outwardMm)
    {
        (BlockPoint start, double ux, double uy, _) = Side(size, side);
        return (start.Xmm + ux * alongMm + uy * outwardMm, start.Ymm + uy * alongMm - ux * outwardMm);
    }

    public static SideStrip Take(Mat bgr, Homography photoFromBlock, BlockSize size, int side, double halfWidthMm, double pixelsPerMm, double marginMm = EndMarginMm)
    {
        (_, _, _, double length) = Side(size, side);
        double across = Math.Min(pixelsPerMm, 10), along = Math.Min(pixelsPerMm, 4);
        int wide = (int)Math.Round(2 * halfWidthMm * across) + 1, span = (int)Math.Floor((length - 2 * marginMm) * along) + 1;
        int count = (int)Math.Floor((length - 2 * marginMm) / AlongStepMm) + 1;
        var strip = new SideStrip(count, wide, 1 / across, marginMm);
        // Band pixel (column = across, row = along) to block mm, then to the photo.
        (double ox, double oy) = PointAt(size, side, marginMm, -(wide - 1) / 2.0 / across);
        (double ax, double ay) = PointAt(size, side, marginMm, -(wide - 1) / 2.0 / across + 1 / across);
        (double bx, double by) = PointAt(size, side, marginMm + 1 / along, -(wide - 1) / 2.0 / across);
        Homography map = photoFromBlock.After(new Homography([ax - ox, bx - ox, ox, ay - oy, by - oy, oy, 0, 0, 1]));
        using Mat matrix = Mat.FromPixelData(3, 3, MatType.CV_64FC1, map.Rows.ToArray());
        using Mat band = new(), colours = new(), smooth = new();
        Cv2.WarpPerspective(bgr, band, matrix, new Size(wide, span), InterpolationFlags.Linear | InterpolationFlags.WarpInverseMap, BorderTypes.Replicate);
        EvidenceMap.ToOpponent(band, colours);
        int reach = 2 * (int)Math.Ceiling(2.5 * AlongSmoothMm * along) + 1;
        using Mat kernel = Cv2.GetGaussianKernel(reach, AlongSmoothMm * along, MatType.CV_32F)!;
        using Mat one = new(1, 1, MatType.CV_32FC1, Scalar.All(1));
        Cv2.SepFilter2D(colours, smooth, MatType.CV_32FC3, one, kernel, borderType: BorderTypes.Reflect101);
        strip.Fill(smooth, along);
        int w = bgr.Cols, h = bgr.Rows;
        for (int i = 0; i < count; i++)
        {
            (double px, double py) = PointAt(size, side, strip.AlongMm(i), 0);
            (double x, double y) = photoFromBlock.Map(px, py);
            strip.Inside[i] = x > 1 && y > 1 && x < w - 2 && y < h - 2;
        }
        return strip;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private unsafe void Fill(Mat smooth, double along)
    {
        int rows = smooth.Rows;
        for (int i = 0; i < Count; i++)
        {
            float* row = (float*)smooth.Ptr(Math.Min(rows - 1, (int)Math.Round(i * AlongStepMm * along)));
            for (int a = 0; a < Across; a++)
                for (int c = 0; c < 3; c++) Values[c][i * Across + a] = row[3 * a + c];
        }
    }
}
