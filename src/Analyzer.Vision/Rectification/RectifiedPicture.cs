using Analyzer.Core.Geometry;
using Analyzer.Core.Report;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Rectification;

/// <summary>The block as a picture, straight from above, with a little of its surroundings.</summary>
public static class RectifiedPicture
{
    public const double MarginMm = 6;

    /// <summary>Longest side of the picture, px: enough for a report on paper.</summary>
    public const int LongestPx = 1500;

    public static BlockPicture Of(Photo photo, BlockPlane plane)
    {
        double longest = Math.Max(plane.Size.WidthMm, plane.Size.HeightMm) + 2 * MarginMm;
        double scale = Math.Min(plane.PixelsPerMm * 1.2, LongestPx / longest);
        int width = (int)Math.Round((plane.Size.WidthMm + 2 * MarginMm) * scale), height = (int)Math.Round((plane.Size.HeightMm + 2 * MarginMm) * scale);
        Homography photoFromPicture = plane.PhotoFromBlock.After(new Homography([1 / scale, 0, -MarginMm, 0, 1 / scale, -MarginMm, 0, 0, 1]));
        using Mat map = Mat.FromPixelData(3, 3, MatType.CV_64FC1, photoFromPicture.Rows.ToArray());
        using var warped = new Mat();
        Cv2.WarpPerspective(photo.Bgr, warped, map, new Size(width, height), InterpolationFlags.Area | InterpolationFlags.WarpInverseMap, BorderTypes.Constant, Scalar.All(235));
        Cv2.ImEncode(".jpg", warped, out byte[] jpeg, new ImageEncodingParam(ImwriteFlags.JpegQuality, 85));
        return new BlockPicture(jpeg, "image/jpeg", width, height, scale, MarginMm);
    }
}
