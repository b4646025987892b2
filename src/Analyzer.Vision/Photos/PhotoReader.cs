using System.Security.Cryptography;
using OpenCvSharp;

namespace Analyzer.Vision.Photos;

/// <summary>Reads a photo file, or says in one sentence why not.</summary>
public static class PhotoReader
{
    /// <summary>Largest picture accepted: 200 million pixels, 30 000 on a side.</summary>
    public const long MostPixels = 200_000_000;

    public const int LongestSidePx = 30_000;

    /// <summary>Below this no stitch can be seen, px on the shorter side.</summary>
    public const int ShortestSidePx = 64;

    /// <summary>Largest file accepted, bytes.</summary>
    public const long LargestFile = 500L << 20;

    /// <summary>A JPEG of more pixels than this may be read at half size first.</summary>
    public const long HalveFromPixels = 24_000_000;

    /// <param name="halveFromPixels">A JPEG of more pixels is read at half its width and height; see <see cref="Photo.ReducedBy"/>.</param>
    public static Photo Read(string path, long halveFromPixels = long.MaxValue)
    {
        byte[] bytes;
        string name = Path.GetFileName(path);
        try
        {
            var file = new FileInfo(path);
            if (Directory.Exists(path)) throw new PhotoException("not-a-file", $"{path} is a folder; name one photo in it.");
            if (!file.Exists) throw new PhotoException("no-such-file", $"There is no file {path}; check the name and the folder.");
            if (file.Length > LargestFile) throw new PhotoException("too-large", $"{name} has {file.Length >> 20} MB; at most {LargestFile >> 20} MB are read.");
            bytes = File.ReadAllBytes(path);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw new PhotoException("unreadable-file", $"{path} cannot be opened; check that the file exists and that you may read it.", error);
        }
        return Read(bytes, name, halveFromPixels);
    }

    public static Photo Read(byte[] bytes, string fileName, long halveFromPixels = long.MaxValue)
    {
        try
        {
            ImageHeader header = ImageHeader.Read(bytes);
            Check(header, bytes.Length);
            PhotoMetadata metadata = Metadata(header);
            // An odd side would leave half a pixel over, on another side after turning.
            bool halve = header.Format == ImageFormat.Jpeg && (long)header.WidthPx * header.HeightPx > halveFromPixels && header.WidthPx % 2 == 0 && header.HeightPx % 2 == 0;
            Mat? pixels = PixelDecoder.Decode(bytes, header, halve, out ReadOnlyMemory<byte> icc);
            if (pixels is null) throw new PhotoException("damaged", header.Format == ImageFormat.Heif
                ? "is a HEIC photo that cannot be decoded; export it as JPEG (on the phone: share it as \"most compatible\", or set the camera to JPEG)"
                : "cannot be decoded, its data are damaged; copy it from the camera again");
            if (!header.IsCmyk && ColourProfile.Read(icc) is { IsNearlySrgb: false } profile) ColourConversion.ToSrgb(pixels, profile);
            Mat upright = Orientation.Upright(pixels, metadata.Orientation);
            return new Photo(upright, fileName, Convert.ToHexStringLower(SHA256.HashData(bytes)), metadata, halve ? bytes : null)
            {
                IsUprightJpeg = header is { Format: ImageFormat.Jpeg, IsCmyk: false } && metadata.Orientation == 1 && !halve,
            };
        }
        catch (PhotoException refusal)
        {
            throw new PhotoException(refusal.Code, $"{fileName} {refusal.Message}.", refusal.InnerException);
        }
    }

    /// <summary>HEIC files turn their pixels themselves, so their EXIF orientation must not be applied again (ISO/IEC 23008-12, 6.5.10).</summary>
    private static PhotoMetadata Metadata(ImageHeader header) =>
        header.Format == ImageFormat.Heif ? PhotoMetadata.None : ExifReader.Read(header.Exif);

    /// <summary>No photo is packed this tightly: a tiny file that promises many pixels would only cost time and memory.</summary>
    private const int MostPixelsPerByte = 1000, PackingMattersFromPixels = 4_000_000;

    private static void Check(ImageHeader header, long fileBytes)
    {
        int w = header.WidthPx, h = header.HeightPx;
        if (header.IsMoving) throw new PhotoException("moving", "is a moving picture; save one frame of it as a photo");
        if (w <= 0 || h <= 0)
            throw new PhotoException("truncated", "is cut short or damaged: its size cannot be read; copy it from the camera again");
        if (w > LongestSidePx || h > LongestSidePx || (long)w * h > MostPixels)
            throw new PhotoException("too-large", $"is {w} x {h} pixels; at most {MostPixels / 1_000_000} million pixels and {LongestSidePx} on a side are read, so save it smaller");
        if ((long)w * h > PackingMattersFromPixels && (long)w * h / MostPixelsPerByte > fileBytes)
            throw new PhotoException("damaged", $"is damaged: it promises {w} x {h} pixels and is far too small a file to hold them; copy it from the camera again");
        if (header.IsCut) throw new PhotoException("truncated", "is cut short: the file ends before the picture does; copy it from the camera again");
        if (Math.Min(w, h) < ShortestSidePx)
            throw new PhotoException("too-small", $"is only {w} x {h} pixels, too small to show stitches; give the original photo");
    }
}
