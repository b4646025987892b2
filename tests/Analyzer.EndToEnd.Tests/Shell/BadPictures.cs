using System.Buffers.Binary;
using Analyzer.Vision.Tests.Photos;
using ImageMagick;

namespace Analyzer.EndToEnd.Tests.Shell;

/// <summary>Picture files a user may hand over by mistake, made in memory.</summary>
internal static class BadPictures
{
    /// <summary>A cream cloth without any stitching, JPEG.</summary>
    public static byte[] PlainJpeg(int width = 900, int height = 700)
    {
        using var image = new MagickImage(new MagickColor("#e8e0d0"), (uint)width, (uint)height);
        return image.ToByteArray(MagickFormat.Jpeg);
    }

    public static byte[] TruncatedJpeg()
    {
        byte[] whole = PlainJpeg();
        return whole[..(whole.Length / 2)];
    }

    public static byte[] OnePixel()
    {
        using var image = new MagickImage(MagickColors.White, 1, 1);
        return image.ToByteArray(MagickFormat.Png);
    }

    /// <summary>A PNG whose header promises the size and whose pixels are missing. Layout: PNG specification (ISO/IEC 15948), 11.2.2.</summary>
    public static byte[] PngHeader(int width, int height)
    {
        var header = new byte[13];
        BinaryPrimitives.WriteInt32BigEndian(header, width);
        BinaryPrimitives.WriteInt32BigEndian(header.AsSpan(4), height);
        header[8] = 8;
        header[9] = 2;
        return [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, .. Chunk("IHDR"u8, header), .. Chunk("IDAT"u8, []), .. Chunk("IEND"u8, [])];
    }

    public static byte[] Animated()
    {
        using var frames = new MagickImageCollection
        {
            new MagickImage(MagickColors.White, 300, 300) { AnimationDelay = 10 },
            new MagickImage(MagickColors.Black, 300, 300) { AnimationDelay = 10 },
        };
        return frames.ToByteArray(MagickFormat.Gif);
    }

    /// <summary>The sample with its coded picture (the end of the file) overwritten.</summary>
    public static byte[] SpoiltHeic()
    {
        byte[] b = HeicSample.Bytes();
        b.AsSpan(b.Length - 44).Fill(0xFF);
        return b;
    }

    private static byte[] Chunk(ReadOnlySpan<byte> type, byte[] data)
    {
        byte[] body = [.. type, .. data];
        var length = new byte[4];
        BinaryPrimitives.WriteInt32BigEndian(length, data.Length);
        var sum = new byte[4];
        BinaryPrimitives.WriteUInt32BigEndian(sum, Crc(body));
        return [.. length, .. body, .. sum];
    }

    /// <summary>CRC-32 as the PNG specification's annex D gives it.</summary>
    private static uint Crc(byte[] bytes)
    {
        uint crc = uint.MaxValue;
        foreach (byte b in bytes)
        {
            crc ^= b;
            for (int i = 0; i < 8; i++) crc = (crc & 1) == 1 ? 0xEDB88320 ^ (crc >> 1) : crc >> 1;
        }
        return ~crc;
    }
}
