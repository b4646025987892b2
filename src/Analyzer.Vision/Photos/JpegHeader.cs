using System.Buffers.Binary;

namespace Analyzer.Vision.Photos;

/// <summary>Walks a JPEG's segments (ITU-T T.81, annex B) without decoding it.</summary>
internal static class JpegHeader
{
    public static ImageHeader Read(ReadOnlyMemory<byte> file)
    {
        ReadOnlySpan<byte> b = file.Span;
        int width = 0, height = 0, components = 0, at = 2;
        ReadOnlyMemory<byte> exif = default;
        var profile = new SortedDictionary<int, ReadOnlyMemory<byte>>();
        bool complete = false, scanSeen = false;
        while (at + 2 <= b.Length)
        {
            if (b[at] != 0xFF) { at = NextMarker(b, at); continue; }
            byte marker = b[at + 1];
            if (marker == 0xFF) { at++; continue; }
            if (marker == 0xD9) { complete = true; break; }
            if (marker is 0x00 or 0x01 or (>= 0xD0 and <= 0xD8)) { at += 2; continue; }
            if (at + 4 > b.Length) break;
            int length = BinaryPrimitives.ReadUInt16BigEndian(b[(at + 2)..]);
            if (length < 2 || at + 2 + length > b.Length) break;
            ReadOnlyMemory<byte> body = file.Slice(at + 4, length - 2);
            if (marker is >= 0xC0 and <= 0xCF and not (0xC4 or 0xC8 or 0xCC) && width == 0 && body.Length >= 6)
            {
                height = BinaryPrimitives.ReadUInt16BigEndian(body.Span[1..]);
                width = BinaryPrimitives.ReadUInt16BigEndian(body.Span[3..]);
                components = body.Span[5];
            }
            else if (marker == 0xE1 && exif.IsEmpty && body.Span.StartsWith("Exif\0\0"u8)) exif = body[6..];
            else if (marker == 0xE2 && body.Length > 14 && body.Span.StartsWith("ICC_PROFILE\0"u8)) profile.TryAdd(body.Span[12], body[14..]);
            at += 2 + length;
            if (marker == 0xDA) { scanSeen = true; at = NextMarker(b, at); }
        }
        return new ImageHeader(ImageFormat.Jpeg, width, height)
        {
            IsCut = !complete || !scanSeen,
            IsCmyk = components == 4,
            Exif = exif,
            Icc = Join(profile.Values),
        };
    }

    /// <summary>From inside coded data to the next marker that is neither a stuffed byte nor a restart.</summary>
    private static int NextMarker(ReadOnlySpan<byte> b, int at)
    {
        while (at < b.Length)
        {
            int step = b[at..].IndexOf((byte)0xFF);
            if (step < 0 || at + step + 1 >= b.Length) return b.Length;
            at += step;
            if (b[at + 1] is not (0x00 or 0xFF or (>= 0xD0 and <= 0xD7))) return at;
            at += b[at + 1] == 0xFF ? 1 : 2;
        }
        return b.Length;
    }

    private static ReadOnlyMemory<byte> Join(SortedDictionary<int, ReadOnlyMemory<byte>>.ValueCollection parts)
    {
        if (parts.Count < 2) return parts.FirstOrDefault();
        var all = new List<byte>();
        foreach (ReadOnlyMemory<byte> part in parts) all.AddRange(part.Span);
        return all.ToArray();
    }
}
