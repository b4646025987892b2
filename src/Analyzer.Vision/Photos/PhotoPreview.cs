using OpenCvSharp;

namespace Analyzer.Vision.Photos;

/// <summary>The upright photo encoded anew, for showing: whatever came in, a plain JPEG without the camera's notes goes out.</summary>
public static class PhotoPreview
{
    /// <summary>JPEG bytes. The picture is made smaller where its longer side is beyond longestPx; photo pixel x lies at (x + 0.5)·scale - 0.5.</summary>
    public static byte[] Jpeg(Photo photo, int longestPx, int quality = 88)
    {
        double scale = Math.Min(1, longestPx / (double)Math.Max(photo.WidthPx, photo.HeightPx));
        using var small = new Mat();
        if (scale < 1) Cv2.Resize(photo.Bgr, small, new Size(Math.Max(1, (int)Math.Round(photo.WidthPx * scale)), Math.Max(1, (int)Math.Round(photo.HeightPx * scale))), 0, 0, InterpolationFlags.Area);
        Cv2.ImEncode(".jpg", scale < 1 ? small : photo.Bgr, out byte[] jpeg, new ImageEncodingParam(ImwriteFlags.JpegQuality, quality));
        return jpeg;
    }
}
