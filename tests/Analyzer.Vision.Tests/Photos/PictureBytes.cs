using ImageMagick;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Photos;

/// <summary>Small picture files made in memory: the left half red, the right half blue, the top-left quarter bright.</summary>
internal static class PictureBytes
{
    public const int WidthPx = 96, HeightPx = 64;

    /// <summary>Four patches: top-left white, top-right red, bottom-left green, bottom-right blue.</summary>
    public static Mat Patches()
    {
        var mat = new Mat(HeightPx, WidthPx, MatType.CV_8UC3, new Scalar(255, 255, 255));
        mat[0, HeightPx / 2, WidthPx / 2, WidthPx].SetTo(new Scalar(0, 0, 255));
        mat[HeightPx / 2, HeightPx, 0, WidthPx / 2].SetTo(new Scalar(0, 255, 0));
        mat[HeightPx / 2, HeightPx, WidthPx / 2, WidthPx].SetTo(new Scalar(255, 0, 0));
        return mat;
    }

    public static byte[] Encode(string extension)
    {
        using Mat mat = Patches();
        Cv2.ImEncode(extension, mat, out byte[] bytes, new ImageEncodingParam(ImwriteFlags.JpegQuality, 98));
        return bytes;
    }

    /// <summary>The patches through another library, with a change of its own.</summary>
    public static byte[] WithMagick(MagickFormat format, Action<MagickImage> change)
    {
        using var image = new MagickImage(Encode(".png"));
        change(image);
        return image.ToByteArray(format);
    }

    /// <summary>Puts an EXIF segment with orientation, camera, date and focal lengths into a JPEG. Layout by EXIF 2.3, section 4.6.</summary>
    public static byte[] WithExif(byte[] jpeg, int orientation)
    {
        var tiff = new List<byte>();
        void U16(int v) => tiff.AddRange([(byte)(v >> 8), (byte)v]);
        void U32(int v) => tiff.AddRange([(byte)(v >> 24), (byte)(v >> 16), (byte)(v >> 8), (byte)v]);
        void Entry(int tag, int type, int count, int value)
        {
            U16(tag); U16(type); U32(count);
            if (type == 3) { U16(value); U16(0); } else U32(value);
        }
        const int sub = 8 + 2 + 3 * 12 + 4, data = sub + 2 + 3 * 12 + 4;
        tiff.AddRange("MM\0*"u8.ToArray()); U32(8);
        U16(3);
        Entry(0x0110, 2, 8, data + 28);
        Entry(0x0112, 3, 1, orientation);
        Entry(0x8769, 4, 1, sub);
        U32(0);
        U16(3);
        Entry(0x9003, 2, 20, data);
        Entry(0x920A, 5, 1, data + 20);
        Entry(0xA405, 3, 1, 27);
        U32(0);
        tiff.AddRange("2026:05:14 10:11:12\0"u8.ToArray()); U32(425); U32(100);
        tiff.AddRange("Model 1\0"u8.ToArray());
        byte[] body = [.. "Exif\0\0"u8.ToArray(), .. tiff];
        int length = body.Length + 2;
        return [.. jpeg[..2], 0xFF, 0xE1, (byte)(length >> 8), (byte)length, .. body, .. jpeg[2..]];
    }
}
