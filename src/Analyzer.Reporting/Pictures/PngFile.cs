using System.Buffers.Binary;
using System.IO.Compression;

namespace Analyzer.Reporting.Pictures;

/// <summary>Writes an opaque picture as PNG, quickly: every row as differences from the pixel to the left, packed lightly.</summary>
/// <remarks>Format: PNG (Portable Network Graphics) Specification, third edition, W3C 2025; colour type 2, 8 bits, filter 1, one IDAT chunk.</remarks>
internal static class PngFile
{
    private static readonly uint[] Table = [.. Enumerable.Range(0, 256).Select(Entry)];

    /// <param name="rgba">Red, green, blue and a byte that is not looked at, pixel by pixel.</param>
    /// <param name="rowBytes">Bytes from the start of one row to the next.</param>
    public static byte[] Of(ReadOnlySpan<byte> rgba, int width, int height, int rowBytes)
    {
        using var packed = new MemoryStream(width * height);
        using (var zlib = new ZLibStream(packed, CompressionLevel.Fastest, leaveOpen: true))
        {
            const int sub = 1;
            var line = new byte[1 + 3 * width];
            line[0] = sub;
            for (int y = 0; y < height; y++)
            {
                ReadOnlySpan<byte> row = rgba.Slice(y * rowBytes, 4 * width);
                byte r = 0, g = 0, b = 0;
                for (int x = 0, from = 0, to = 1; x < width; x++, from += 4, to += 3)
                {
                    (line[to], line[to + 1], line[to + 2]) = ((byte)(row[from] - r), (byte)(row[from + 1] - g), (byte)(row[from + 2] - b));
                    (r, g, b) = (row[from], row[from + 1], row[from + 2]);
                }
                zlib.Write(line);
            }
        }
        using var file = new MemoryStream((int)packed.Length + 64);
        file.Write([0x89, (byte)'P', (byte)'N', (byte)'G', 0x0d, 0x0a, 0x1a, 0x0a]);
        var header = new byte[13];
        BinaryPrimitives.WriteInt32BigEndian(header, width);
        BinaryPrimitives.WriteInt32BigEndian(header.AsSpan(4), height);
        (header[8], header[9]) = (8, 2);
        Chunk(file, "IHDR"u8, header);
        Chunk(file, "IDAT"u8, packed.GetBuffer().AsSpan(0, (int)packed.Length));
        Chunk(file, "IEND"u8, []);
        return file.ToArray();
    }

    private static void Chunk(MemoryStream file, ReadOnlySpan<byte> name, ReadOnlySpan<byte> data)
    {
        Span<byte> number = stackalloc byte[4];
        BinaryPrimitives.WriteInt32BigEndian(number, data.Length);
        file.Write(number);
        file.Write(name);
        file.Write(data);
        BinaryPrimitives.WriteUInt32BigEndian(number, ~Checked(Checked(uint.MaxValue, name), data));
        file.Write(number);
    }

    private static uint Checked(uint crc, ReadOnlySpan<byte> data)
    {
        foreach (byte b in data) crc = Table[(byte)(crc ^ b)] ^ crc >> 8;
        return crc;
    }

    private static uint Entry(int n)
    {
        uint c = (uint)n;
        for (int k = 0; k < 8; k++) c = (c & 1) != 0 ? 0xedb88320u ^ c >> 1 : c >> 1;
        return c;
    }
}
