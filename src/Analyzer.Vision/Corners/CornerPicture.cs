using Analyzer.Core.Geometry;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Corners;

/// <summary>Draws found corners on the photo, for the maker to check by eye.</summary>
public static class CornerPicture
{
    /// <summary>PNG bytes: the whole photo with the outline, and beside it the four corners enlarged.</summary>
    public static byte[] Png(Photo photo, FoundBlock block, int widthPx = 1200)
    {
        double k = widthPx / (double)Math.Max(photo.WidthPx, photo.HeightPx);
        using Mat whole = new();
        Cv2.Resize(photo.Bgr, whole, new Size((int)Math.Round(photo.WidthPx * k), (int)Math.Round(photo.HeightPx * k)), 0, 0, InterpolationFlags.Area);
        foreach (BlockCorners other in block.Candidates.Take(3)) Outline(whole, other.ToArray(), k, new Scalar(160, 160, 160), 1);
        Outline(whole, block.Corners.ToArray(), k, new Scalar(255, 255, 255), 4);
        Outline(whole, block.Corners.ToArray(), k, new Scalar(0, 0, 0), 2);
        int tile = whole.Rows / 2;
        using var result = new Mat(whole.Rows, whole.Cols + 2 * tile, MatType.CV_8UC3, Scalar.All(40));
        whole.CopyTo(result[0, whole.Rows, 0, whole.Cols]);
        PhotoPoint[] corners = block.Corners.ToArray();
        int[] row = [0, 0, 1, 1], column = [0, 1, 1, 0];
        for (int i = 0; i < 4; i++)
        {
            using Mat crop = Corner(photo.Bgr, corners, i, tile - 4);
            crop.CopyTo(result[row[i] * tile + 2, row[i] * tile + 2 + crop.Rows, whole.Cols + column[i] * tile + 2, whole.Cols + column[i] * tile + 2 + crop.Cols]);
        }
        Cv2.ImEncode(".png", result, out byte[] png);
        return png;
    }

    private static void Outline(Mat mat, PhotoPoint[] corners, double k, Scalar colour, int thickness)
    {
        for (int i = 0; i < 4; i++)
        {
            PhotoPoint a = corners[i], b = corners[(i + 1) & 3];
            Cv2.Line(mat, At(a, k), At(b, k), colour, thickness, LineTypes.AntiAlias);
        }
    }

    /// <summary>A piece of the photo about a corner, 1/8 of the side wide, with thin lines that leave the corner itself free.</summary>
    private static Mat Corner(Mat bgr, PhotoPoint[] corners, int i, int sizePx)
    {
        PhotoPoint at = corners[i], next = corners[(i + 1) & 3], last = corners[(i + 3) & 3];
        double half = Math.Max(8, at.DistanceTo(next) / 16), k = sizePx / (2 * half);
        using Mat matrix = Mat.FromPixelData(2, 3, MatType.CV_64FC1, new double[] { k, 0, -k * (at.X - half), 0, k, -k * (at.Y - half) });
        var crop = new Mat();
        Cv2.WarpAffine(bgr, crop, matrix, new Size(sizePx, sizePx), k > 1 ? InterpolationFlags.Cubic : InterpolationFlags.Area, BorderTypes.Constant, Scalar.All(90));
        foreach (PhotoPoint end in new[] { next, last })
        {
            double length = at.DistanceTo(end), ux = (end.X - at.X) / length, uy = (end.Y - at.Y) / length;
            Point a = new(sizePx / 2.0 + ux * 0.06 * sizePx, sizePx / 2.0 + uy * 0.06 * sizePx), b = new(sizePx / 2.0 + ux * sizePx, sizePx / 2.0 + uy * sizePx);
            Cv2.Line(crop, a, b, Scalar.All(255), 2, LineTypes.AntiAlias);
            Cv2.Line(crop, a, b, Scalar.All(0), 1, LineTypes.AntiAlias);
        }
        return crop;
    }

    private static Point At(PhotoPoint p, double k) => new((p.X + 0.5) * k - 0.5, (p.Y + 0.5) * k - 0.5);
}
