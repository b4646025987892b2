using System.Buffers.Binary;
using System.IO.Compression;

namespace Analyzer.Vision.Photos;

/// <summary>Walks a PNG's chunks (W3C PNG specification) without decoding the pixels.</summary>
internal static class PngHeader
{
    /// <summary>A colour profile larger than this is not believed, bytes.</summary>
    private const int LargestProfile = 4 << 20;

    public static ImageHeader Read(ReadOnlyMemory<byte> file)
    {
        ReadOnlySpan<byte> b = file.Span;
        int width = 0, height = 0, at = 8;
        bool alpha = false, moving = false, ended = false;
        ReadOnlyMemory<byte> exif = default, icc = default;
        while (at + 12 <= b.Length && !ended)
        {
            uint length = BinaryPrimitives.ReadUInt32BigEndian(b[at..]);
            if (length > b.Length - at - 12) break;
            ReadOnlySpan<byte> name = b.Slice(at + 4, 4);
            ReadOnlyMemory<byte> body = file.Slice(at + 8, (int)length);
            if (name.SequenceEqual("IHDR"u8))
            {
                width = BinaryPrimitives.ReadInt32BigEndian(body.Span);
                height = BinaryPrimitives.ReadInt32BigEndian(body.Span[4..]);
                alpha = body.Span[9] is 4 or 6;
            }
            else if (name.SequenceEqual("tRNS"u8)) alpha = true;
            else if (name.SequenceEqual("acTL"u8)) moving = body.Length >= 4 && BinaryPrimitives.ReadUInt32BigEndian(body.Span) > 1;
            else if (name.SequenceEqual("eXIf"u8)) exif = body;
            else if (name.SequenceEqual("iCCP"u8)) icc = Profile(body);
            else if (name.SequenceEqual("IEND"u8)) ended = true;
            at += 12 + (int)length;
        }
        return new ImageHeader(ImageFormat.Png, width, height) { HasAlpha = alpha, IsMoving = moving, IsCut = !ended, Exif = exif, Icc = icc };
    }

    private static ReadOnlyMemory<byte> Profile(ReadOnlyMemory<byte> body)
    {
        int end = body.Span.IndexOf((byte)0);
        if (end < 0 || end + 2 >= body.Length) return default;
        try
        {
            using var packed = new ZLibStream(new MemoryStream(body[(end + 2)..].ToArray()), CompressionMode.Decompress);
            var plain = new byte[LargestProfile];
            int length = packed.ReadAtLeast(plain, LargestProfile, throwOnEndOfStream: false);
            return plain.AsMemory(0, length);
        }
        catch (InvalidDataException)
        {
            return default;
        }
    }
}
