using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Rectification;
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
        using Mat band = new(span, wide, MatType.CV_8UC3);
        unsafe
        {
            BgrPixels from = new(bgr), into = new(band);
            for (int row = 0; row < span; row++) PhotoRow.Of(map, 0, row, 1, 0).Read(from, new Span<byte>(into.Data + (long)row * into.Stride, 3 * wide));
        }
        strip.Fill(band, along);
        int w = bgr.Cols, h = bgr.Rows;
        for (int i = 0; i < count; i++)
        {
            (double px, double py) = PointAt(size, side, strip.AlongMm(i), 0);
            (double x, double y) = photoFromBlock.Map(px, py);
            strip.Inside[i] = x > 1 && y > 1 && x < w - 2 && y < h - 2;
        }
        return strip;
    }

    /// <summary>Averages the band along the side at every position, and makes opponent colours of it.</summary>
    private unsafe void Fill(Mat band, double along)
    {
        using Mat wide = new();
        band.ConvertTo(wide, MatType.CV_32FC3);
        int rows = wide.Rows, reach = (int)Math.Ceiling(2.5 * AlongSmoothMm * along);
        float[] kernel = Gaussian(reach, AlongSmoothMm * along), row = new float[3 * Across];
        for (int i = 0; i < Count; i++)
        {
            int middle = Math.Min(rows - 1, (int)Math.Round(i * AlongStepMm * along));
            Array.Clear(row);
            for (int k = -reach; k <= reach; k++) SeamEnergy.AddTimes(row, new ReadOnlySpan<float>((float*)wide.Ptr(Mirrored(middle + k, rows)), row.Length), kernel[k + reach]);
            int at = i * Across;
            for (int a = 0; a < Across; a++, at++)
            {
                float b = row[3 * a], g = row[3 * a + 1], r = row[3 * a + 2];
                (Values[0][at], Values[1][at], Values[2][at]) = EvidenceMap.Opponent(b, g, r);
            }
        }
    }

    private static int Mirrored(int row, int rows) => rows == 1 ? 0 : Math.Clamp(row < 0 ? -row : row >= rows ? 2 * rows - 2 - row : row, 0, rows - 1);

    private static float[] Gaussian(int reach, double sigma)
    {
        double[] all = [.. Enumerable.Range(-reach, 2 * reach + 1).Select(k => Math.Exp(-k * k / (2 * sigma * sigma)))];
        double sum = all.Sum();
        return [.. all.Select(v => (float)(v / sum))];
    }
}
