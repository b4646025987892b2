using System.Buffers.Binary;

namespace Analyzer.Vision.Photos;

/// <summary>One directory of a TIFF structure (TIFF 6.0, section 2): the layout of TIFF files and of EXIF notes alike.</summary>
internal sealed class TiffDirectory
{
    private static readonly int[] TypeSize = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8];
    private readonly Dictionary<int, (int Type, int Count, int At)> _entries = [];
    private readonly ReadOnlyMemory<byte> _data;
    private readonly bool _bigEndian;

    private TiffDirectory(ReadOnlyMemory<byte> data, bool bigEndian)
    {
        _data = data;
        _bigEndian = bigEndian;
    }

    /// <summary>The first directory, or null where there is none to read.</summary>
    public static TiffDirectory? First(ReadOnlyMemory<byte> data)
    {
        if (data.Length < 8) return null;
        ReadOnlySpan<byte> s = data.Span;
        bool big = s[0] == (byte)'M';
        if (!big && s[0] != (byte)'I') return null;
        var directory = new TiffDirectory(data, big);
        return directory.ReadEntries(directory.UInt32(4)) ? directory : null;
    }

    /// <summary>The directory another one points at with the given tag, or null.</summary>
    public TiffDirectory? Sub(int tag)
    {
        if (Number(tag) is not { } at) return null;
        var directory = new TiffDirectory(_data, _bigEndian);
        return directory.ReadEntries((long)at) ? directory : null;
    }

    public double? Number(int tag, int position = 0)
    {
        if (!_entries.TryGetValue(tag, out (int Type, int Count, int At) e) || position >= e.Count) return null;
        int at = e.At + position * TypeSize[e.Type];
        switch (e.Type)
        {
            case 1 or 7: return _data.Span[at];
            case 3: return UInt16(at);
            case 4: return UInt32(at);
            case 9: return (int)UInt32(at);
            case 5 or 10:
                double top = e.Type == 5 ? UInt32(at) : (int)UInt32(at), bottom = e.Type == 5 ? UInt32(at + 4) : (int)UInt32(at + 4);
                return bottom == 0 ? null : top / bottom;
            default: return null;
        }
    }

    public int Count(int tag) => _entries.TryGetValue(tag, out (int Type, int Count, int At) e) ? e.Count : 0;

    public string? Text(int tag)
    {
        if (!_entries.TryGetValue(tag, out (int Type, int Count, int At) e) || e.Type != 2) return null;
        string text = System.Text.Encoding.ASCII.GetString(_data.Span.Slice(e.At, e.Count)).Trim('\0', ' ');
        text = new string([.. text.Where(c => c >= ' ')]);
        return text.Length == 0 ? null : text;
    }

    public ReadOnlyMemory<byte> Bytes(int tag) =>
        _entries.TryGetValue(tag, out (int Type, int Count, int At) e) && TypeSize[e.Type] == 1 ? _data.Slice(e.At, e.Count) : default;

    private bool ReadEntries(long at)
    {
        if (at < 8 || at + 2 > _data.Length) return false;
        int count = UInt16((int)at);
        for (int i = 0; i < count && at + 14 + 12L * i <= _data.Length; i++)
        {
            int entry = (int)at + 2 + 12 * i;
            int type = UInt16(entry + 2);
            long items = UInt32(entry + 4);
            if (type is 0 or > 12) continue;
            long size = items * TypeSize[type], where = size <= 4 ? entry + 8 : UInt32(entry + 8);
            if (where + size > _data.Length) continue;
            _entries.TryAdd(UInt16(entry), (type, (int)items, (int)where));
        }
        return _entries.Count > 0;
    }

    private int UInt16(int at) => _bigEndian ? BinaryPrimitives.ReadUInt16BigEndian(_data.Span[at..]) : BinaryPrimitives.ReadUInt16LittleEndian(_data.Span[at..]);

    private uint UInt32(int at) => _bigEndian ? BinaryPrimitives.ReadUInt32BigEndian(_data.Span[at..]) : BinaryPrimitives.ReadUInt32LittleEndian(_data.Span[at..]);
}
