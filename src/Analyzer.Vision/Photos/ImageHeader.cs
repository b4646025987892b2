namespace Analyzer.Vision.Photos;

internal enum ImageFormat
{
    Jpeg,
    Png,
    WebP,
    Tiff,
    Gif,
    Bmp,
    Heif,
}

/// <summary>What the file's header promises, read before any pixel is allocated.</summary>
internal sealed record ImageHeader(ImageFormat Format, int WidthPx, int HeightPx)
{
    public bool HasAlpha { get; init; }

    public bool IsMoving { get; init; }

    /// <summary>The file ends before the picture does.</summary>
    public bool IsCut { get; init; }

    /// <summary>Four inks instead of red, green and blue.</summary>
    public bool IsCmyk { get; init; }

    /// <summary>The TIFF structure that holds the camera's notes.</summary>
    public ReadOnlyMemory<byte> Exif { get; init; }

    /// <summary>The embedded ICC colour profile.</summary>
    public ReadOnlyMemory<byte> Icc { get; init; }

    /// <summary>Looks at the content, never at the file's name.</summary>
    public static ImageHeader Read(ReadOnlyMemory<byte> file)
    {
        ReadOnlySpan<byte> b = file.Span;
        try
        {
            if (b.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF])) return JpegHeader.Read(file);
            if (b.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A])) return PngHeader.Read(file);
            if (b.Length > 16 && b.StartsWith("RIFF"u8) && b[8..12].SequenceEqual("WEBP"u8)) return WebpHeader.Read(file);
            if (b.StartsWith((ReadOnlySpan<byte>)[0x49, 0x49, 42, 0]) || b.StartsWith((ReadOnlySpan<byte>)[0x4D, 0x4D, 0, 42])) return TiffHeader.Read(file);
            if (b.StartsWith("GIF87a"u8) || b.StartsWith("GIF89a"u8)) return SimpleHeaders.Gif(b);
            if (b.StartsWith("BM"u8) && b.Length >= 30) return SimpleHeaders.Bmp(b);
            if (b.Length > 16 && b[4..8].SequenceEqual("ftyp"u8)) return HeifHeader.Read(file);
        }
        catch (Exception error) when (error is ArgumentOutOfRangeException or IndexOutOfRangeException or OverflowException or InvalidDataException)
        {
            throw new PhotoException("truncated", "is damaged or cut short in its first part; copy it from the camera again", error);
        }
        throw new PhotoException("not-an-image", Describe(b));
    }

    private static string Describe(ReadOnlySpan<byte> b)
    {
        if (b.Length == 0) return "is empty; copy it from the camera again";
        if (b.StartsWith("%PDF"u8)) return "is a PDF document, not a photo; give the photo itself as JPEG or PNG";
        return "is not a picture this program can read; give a JPEG, PNG, WebP, TIFF or HEIC photo";
    }
}
