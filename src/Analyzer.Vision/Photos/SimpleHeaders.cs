using System.Buffers.Binary;

namespace Analyzer.Vision.Photos;

/// <summary>GIF and BMP: formats no camera writes, read only so that an odd file is not a riddle.</summary>
internal static class SimpleHeaders
{
    public static ImageHeader Gif(ReadOnlySpan<byte> b)
    {
        int pictures = 0, at = 13 + ((b[10] & 0x80) != 0 ? 3 << ((b[10] & 7) + 1) : 0);
        bool ended = false, alpha = false;
        while (at < b.Length && !ended)
        {
            if (b[at] == 0x3B) ended = true;
            else if (b[at] == 0x2C)
            {
                pictures++;
                at = SkipBlocks(b, at + 11 + ((b[at + 9] & 0x80) != 0 ? 3 << ((b[at + 9] & 7) + 1) : 0));
            }
            else if (b[at] == 0x21)
            {
                if (b[at + 1] == 0xF9) alpha |= (b[at + 3] & 1) != 0;
                at = SkipBlocks(b, at + 2);
            }
            else break;
        }
        return new ImageHeader(ImageFormat.Gif, BinaryPrimitives.ReadUInt16LittleEndian(b[6..]), BinaryPrimitives.ReadUInt16LittleEndian(b[8..]))
        {
            IsMoving = pictures > 1,
            IsCut = !ended || pictures == 0,
            HasAlpha = alpha,
        };
    }

    public static ImageHeader Bmp(ReadOnlySpan<byte> b)
    {
        uint promised = BinaryPrimitives.ReadUInt32LittleEndian(b[2..]);
        int width = BinaryPrimitives.ReadInt32LittleEndian(b[18..]), height = BinaryPrimitives.ReadInt32LittleEndian(b[22..]);
        return new ImageHeader(ImageFormat.Bmp, width, height == int.MinValue ? 0 : Math.Abs(height)) { IsCut = promised > b.Length };
    }

    private static int SkipBlocks(ReadOnlySpan<byte> b, int at)
    {
        while (at < b.Length && b[at] != 0) at += b[at] + 1;
        return at + 1;
    }
}
