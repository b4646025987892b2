using ImageMagick;
using OpenCvSharp;

namespace Analyzer.Vision.Photos;

/// <summary>Bytes to BGR, 8 bits, as stored (not yet upright). Transparent places become white.</summary>
internal static class PixelDecoder
{
    /// <summary>Returns null when the data cannot be decoded. HEIC carries its turn and profile inside, hence the profile beside the pixels.</summary>
    public static Mat? Decode(byte[] bytes, ImageHeader header, bool halve, out ReadOnlyMemory<byte> profile)
    {
        profile = header.Icc;
        Mat? fast = header.Format is ImageFormat.Jpeg or ImageFormat.Png or ImageFormat.WebP or ImageFormat.Bmp ? WithOpenCv(bytes, header, halve) : null;
        if (fast is not null || header.Format == ImageFormat.Jpeg) return fast;
        return WithMagick(bytes, header, ref profile);
    }

    /// <param name="halve">Half of a JPEG's width and height, made by the decoder from each 8 x 8 block's coarser cosines: a quarter of the pixels are ever there.</param>
    private static Mat? WithOpenCv(byte[] bytes, ImageHeader header, bool halve)
    {
        try
        {
            if (!header.HasAlpha)
            {
                Mat colour = Cv2.ImDecode(bytes, (halve ? ImreadModes.ReducedColor2 : ImreadModes.Color) | ImreadModes.IgnoreOrientation);
                int by = halve ? 2 : 1;
                if (!colour.Empty() && colour.Cols * by == header.WidthPx && colour.Rows * by == header.HeightPx) return colour;
                colour.Dispose();
                return null;
            }
            using Mat any = Cv2.ImDecode(bytes, ImreadModes.Unchanged);
            if (any.Empty() || any.Channels() is not (3 or 4)) return null;
            using Mat eight = new();
            any.ConvertTo(eight, MatType.MakeType(MatType.CV_8U, any.Channels()), any.Depth() == MatType.CV_16U ? 1 / 257.0 : 1);
            return eight.Channels() == 4 ? OnWhite(eight) : eight.Clone();
        }
        catch (OpenCVException)
        {
            return null;
        }
    }

    private static unsafe Mat OnWhite(Mat bgra)
    {
        var result = new Mat(bgra.Size(), MatType.CV_8UC3);
        int rows = bgra.Rows, cols = bgra.Cols;
        for (int y = 0; y < rows; y++)
        {
            byte* from = (byte*)bgra.Ptr(y), to = (byte*)result.Ptr(y);
            for (int x = 0; x < cols; x++, from += 4, to += 3)
                for (int c = 0; c < 3; c++)
                    to[c] = (byte)((from[c] * from[3] + 255 * (255 - from[3]) + 127) / 255);
        }
        return result;
    }

    /// <summary>The slow road for what phones and scanners write besides JPEG: HEIC, TIFF, single GIF.</summary>
    private static Mat? WithMagick(byte[] bytes, ImageHeader header, ref ReadOnlyMemory<byte> profile)
    {
        try
        {
            var settings = new MagickReadSettings { FrameIndex = 0, FrameCount = 1, Format = FormatOf(header.Format) };
            using var image = new MagickImage(bytes, settings);
            if (header.Format == ImageFormat.Heif && image.GetColorProfile() is { } embedded) profile = embedded.ToByteArray();
            if (image.ColorSpace is ColorSpace.CMYK)
            {
                if (!image.TransformColorSpace(ColorProfiles.USWebCoatedSWOP, ColorProfiles.SRGB)) image.ColorSpace = ColorSpace.sRGB;
                profile = default;
            }
            else if (image.ColorSpace != ColorSpace.sRGB) image.ColorSpace = ColorSpace.sRGB;
            image.BackgroundColor = MagickColors.White;
            if (image.HasAlpha) image.Alpha(AlphaAction.Remove);
            using IPixelCollection<byte> pixels = image.GetPixels();
            byte[] bgr = pixels.ToByteArray(PixelMapping.BGR)!;
            var result = new Mat((int)image.Height, (int)image.Width, MatType.CV_8UC3);
            System.Runtime.InteropServices.Marshal.Copy(bgr, 0, result.Data, bgr.Length);
            return result;
        }
        catch (MagickException)
        {
            return null;
        }
    }

    private static MagickFormat FormatOf(ImageFormat format) => format switch
    {
        ImageFormat.Heif => MagickFormat.Heic,
        ImageFormat.Tiff => MagickFormat.Tiff,
        ImageFormat.Gif => MagickFormat.Gif,
        ImageFormat.WebP => MagickFormat.WebP,
        ImageFormat.Png => MagickFormat.Png,
        ImageFormat.Bmp => MagickFormat.Bmp,
        _ => MagickFormat.Jpeg,
    };
}
