using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using OpenCvSharp;

namespace Analyzer.Vision.Quality;

/// <summary>The block's share of the photo for quality checks: pieces at full size and the whole block small.</summary>
internal static class BlockPixels
{
    /// <summary>Grey pieces of the photo, full size, at a three by three grid of places in the block, with their px per mm.</summary>
    public static List<(Mat Grey, double PixelsPerMm)> Pieces(Mat bgr, Homography photoFromBlock, BlockSize size)
    {
        var pieces = new List<(Mat, double)>();
        int rows = bgr.Rows, cols = bgr.Cols;
        foreach (double fy in new[] { 0.12, 0.5, 0.88 })
            foreach (double fx in new[] { 0.12, 0.5, 0.88 })
            {
                double xMm = fx * size.WidthMm, yMm = fy * size.HeightMm;
                (double x, double y) = photoFromBlock.Map(xMm, yMm);
                double perMm = Corners.CornerFit.PixelsPerMmAt(photoFromBlock, xMm, yMm);
                int half = (int)Math.Clamp(perMm * 0.1 * Math.Min(size.WidthMm, size.HeightMm), 24, 160);
                int left = Math.Max(0, (int)x - half), top = Math.Max(0, (int)y - half), right = Math.Min(cols, (int)x + half), bottom = Math.Min(rows, (int)y + half);
                if (right - left < 24 || bottom - top < 24) continue;
                using Mat piece = bgr[top, bottom, left, right];
                var grey = new Mat();
                Cv2.CvtColor(piece, grey, ColorConversionCodes.BGR2GRAY);
                pieces.Add((grey, perMm));
            }
        return pieces;
    }

    /// <summary>The block rectified to about two pixels per millimetre, for brightness and clipping (nearest pixels, so that clipping is not averaged away).</summary>
    public static Mat Small(Mat bgr, Homography photoFromBlock, BlockSize size)
    {
        double perMm = Math.Min(2, 800 / Math.Max(size.WidthMm, size.HeightMm));
        using Mat matrix = Mat.FromPixelData(3, 3, MatType.CV_64FC1, photoFromBlock.After(new Homography([1 / perMm, 0, 0, 0, 1 / perMm, 0, 0, 0, 1])).Rows.ToArray());
        var small = new Mat();
        Cv2.WarpPerspective(bgr, small, matrix, new Size((int)(size.WidthMm * perMm), (int)(size.HeightMm * perMm)), InterpolationFlags.Nearest | InterpolationFlags.WarpInverseMap, BorderTypes.Replicate);
        return small;
    }
}
