using System.Buffers.Binary;

namespace Analyzer.Vision.Photos;

/// <summary>Walks a WebP's RIFF chunks (RFC 9649) without decoding the pixels.</summary>
internal static class WebpHeader
{
    public static ImageHeader Read(ReadOnlyMemory<byte> file)
    {
        ReadOnlySpan<byte> b = file.Span;
        long promised = BinaryPrimitives.ReadUInt32LittleEndian(b[4..]) + 8L;
        int width = 0, height = 0, at = 12;
        bool alpha = false, moving = false;
        ReadOnlyMemory<byte> exif = default, icc = default;
        while (at + 8 <= b.Length)
        {
            ReadOnlySpan<byte> name = b.Slice(at, 4);
            long length = BinaryPrimitives.ReadUInt32LittleEndian(b[(at + 4)..]);
            ReadOnlyMemory<byte> body = file.Slice(at + 8, (int)Math.Min(length, b.Length - at - 8));
            ReadOnlySpan<byte> s = body.Span;
            if (name.SequenceEqual("VP8X"u8))
            {
                alpha = (s[0] & 0x10) != 0;
                moving = (s[0] & 0x02) != 0;
                width = 1 + (s[4] | s[5] << 8 | s[6] << 16);
                height = 1 + (s[7] | s[8] << 8 | s[9] << 16);
            }
            else if (name.SequenceEqual("VP8 "u8) && width == 0)
            {
                width = BinaryPrimitives.ReadUInt16LittleEndian(s[6..]) & 0x3FFF;
                height = BinaryPrimitives.ReadUInt16LittleEndian(s[8..]) & 0x3FFF;
            }
            else if (name.SequenceEqual("VP8L"u8) && width == 0)
            {
                uint bits = BinaryPrimitives.ReadUInt32LittleEndian(s[1..]);
                width = 1 + (int)(bits & 0x3FFF);
                height = 1 + (int)(bits >> 14 & 0x3FFF);
                alpha = (bits >> 28 & 1) != 0;
            }
            else if (name.SequenceEqual("EXIF"u8)) exif = s.StartsWith("Exif\0\0"u8) ? body[6..] : body;
            else if (name.SequenceEqual("ICCP"u8)) icc = body;
            long next = at + 8 + length + (length & 1);
            if (next > int.MaxValue) break;
            at = (int)next;
        }
        return new ImageHeader(ImageFormat.WebP, width, height)
        {
            HasAlpha = alpha,
            IsMoving = moving,
            IsCut = promised > b.Length,
            Exif = exif,
            Icc = icc,
        };
    }
}
