using System.Buffers.Binary;

namespace Analyzer.Vision.Photos;

/// <summary>The boxes of a HEIC, HEIF or AVIF file (ISO/IEC 14496-12 and 23008-12): only what the size check needs.</summary>
internal static class HeifHeader
{
    private static readonly string[] Brands = ["heic", "heix", "heim", "heis", "mif1", "msf1", "avif", "avis"];

    public static ImageHeader Read(ReadOnlyMemory<byte> file)
    {
        ReadOnlySpan<byte> b = file.Span;
        string brand = System.Text.Encoding.ASCII.GetString(b.Slice(8, 4));
        if (!Brands.Contains(brand))
            throw new PhotoException("not-an-image", "is a film or sound file, not a photo; give the photo itself as JPEG or HEIC");
        int width = 0, height = 0;
        long at = 0, end = 0;
        while (at + 8 <= b.Length)
        {
            long size = BinaryPrimitives.ReadUInt32BigEndian(b[(int)at..]);
            if (size == 1 && at + 16 <= b.Length) size = (long)BinaryPrimitives.ReadUInt64BigEndian(b[((int)at + 8)..]);
            if (size == 0) size = b.Length - at;
            if (size < 8) break;
            if (b.Slice((int)at + 4, 4).SequenceEqual("meta"u8))
                (width, height) = LargestExtent(b.Slice((int)at, (int)Math.Min(size, b.Length - at)));
            at += size;
            end = at;
        }
        return new ImageHeader(ImageFormat.Heif, width, height) { IsCut = end > b.Length };
    }

    /// <summary>A photo is often stored in tiles; the largest extent ("ispe") is the whole.</summary>
    private static (int Width, int Height) LargestExtent(ReadOnlySpan<byte> meta)
    {
        int width = 0, height = 0;
        for (int at = 0; at + 16 <= meta.Length; at++)
        {
            int step = meta[at..].IndexOf("ispe"u8);
            if (step < 0 || at + step + 16 > meta.Length) break;
            at += step;
            uint w = BinaryPrimitives.ReadUInt32BigEndian(meta[(at + 8)..]), h = BinaryPrimitives.ReadUInt32BigEndian(meta[(at + 12)..]);
            if ((ulong)w * h > (ulong)width * (ulong)height && w < int.MaxValue && h < int.MaxValue) (width, height) = ((int)w, (int)h);
        }
        return (width, height);
    }
}
