using System.Buffers.Binary;

namespace Analyzer.Vision.Photos;

/// <summary>An embedded RGB profile of three primaries and their tone curves, such as Display P3 or Adobe RGB (ICC.1, 8.3.2).</summary>
/// <remarks>Profiles of other kinds (tables, grey, inks) are left alone: colours then count as sRGB.</remarks>
internal sealed class ColourProfile
{
    /// <summary>XYZ under D50 to linear sRGB: the inverse of the sRGB profile's own primaries (IEC 61966-2-1, adapted to D50 by Bradford).</summary>
    private static readonly double[] LinearSrgbFromXyz =
    [
        3.1338561, -1.6168667, -0.4906146,
        -0.9787684, 1.9161415, 0.0334540,
        0.0719453, -0.2289914, 1.4052427,
    ];

    private ColourProfile(float[][] curves, double[] linearSrgbFromLinear)
    {
        Curves = curves;
        LinearSrgbFromLinear = linearSrgbFromLinear;
    }

    /// <summary>Red, green, blue: linear light 0..1 of each 8-bit value.</summary>
    public float[][] Curves { get; }

    public double[] LinearSrgbFromLinear { get; }

    /// <summary>Largest change of one 8-bit value that this profile brings on greys, primaries and half-tones.</summary>
    public bool IsNearlySrgb
    {
        get
        {
            for (int i = 0; i < 9; i++)
                if (Math.Abs(LinearSrgbFromLinear[i] - (i % 4 == 0 ? 1 : 0)) > 0.01) return false;
            return Curves.All(curve => Math.Abs(SrgbEncode(curve[128]) - 128 / 255.0) < 0.008 && Math.Abs(SrgbEncode(curve[64]) - 64 / 255.0) < 0.008);
        }
    }

    public static ColourProfile? Read(ReadOnlyMemory<byte> icc)
    {
        ReadOnlySpan<byte> b = icc.Span;
        if (b.Length < 132 || !b.Slice(16, 4).SequenceEqual("RGB "u8) || !b.Slice(20, 4).SequenceEqual("XYZ "u8)) return null;
        try
        {
            var matrix = new double[9];
            var curves = new float[3][];
            ReadOnlySpan<byte> letters = "rgb"u8;
            for (int c = 0; c < 3; c++)
            {
                ReadOnlySpan<byte> xyz = Tag(b, letters[c], "XYZ"u8), curve = Tag(b, letters[c], "TRC"u8);
                if (xyz.Length < 20 || curve.Length < 12 || ToneCurve(curve) is not { } tones) return null;
                for (int r = 0; r < 3; r++) matrix[r * 3 + c] = Fixed(xyz[(8 + 4 * r)..]);
                curves[c] = tones;
            }
            var product = new double[9];
            for (int r = 0; r < 3; r++)
                for (int c = 0; c < 3; c++)
                    for (int k = 0; k < 3; k++)
                        product[r * 3 + c] += LinearSrgbFromXyz[r * 3 + k] * matrix[k * 3 + c];
            return new ColourProfile(curves, product);
        }
        catch (ArgumentOutOfRangeException)
        {
            return null;
        }
    }

    public static double SrgbEncode(double linear) =>
        linear <= 0.0031308 ? 12.92 * linear : 1.055 * Math.Pow(linear, 1 / 2.4) - 0.055;

    private static ReadOnlySpan<byte> Tag(ReadOnlySpan<byte> b, byte letter, ReadOnlySpan<byte> rest)
    {
        int count = BinaryPrimitives.ReadInt32BigEndian(b[128..]);
        for (int i = 0; i < count && i < 200; i++)
        {
            ReadOnlySpan<byte> entry = b.Slice(132 + 12 * i, 12);
            if (entry[0] == letter && entry.Slice(1, 3).SequenceEqual(rest))
                return b.Slice(BinaryPrimitives.ReadInt32BigEndian(entry[4..]), BinaryPrimitives.ReadInt32BigEndian(entry[8..]));
        }
        return default;
    }

    private static double Fixed(ReadOnlySpan<byte> b) => BinaryPrimitives.ReadInt32BigEndian(b) / 65536.0;

    private static float[]? ToneCurve(ReadOnlySpan<byte> b)
    {
        var tones = new float[256];
        if (b.StartsWith("curv"u8))
        {
            int count = BinaryPrimitives.ReadInt32BigEndian(b[8..]);
            for (int i = 0; i < 256; i++)
            {
                double x = i / 255.0;
                if (count == 0) tones[i] = (float)x;
                else if (count == 1) tones[i] = (float)Math.Pow(x, BinaryPrimitives.ReadUInt16BigEndian(b[12..]) / 256.0);
                else
                {
                    double at = x * (count - 1);
                    int low = Math.Min((int)at, count - 2);
                    double a = BinaryPrimitives.ReadUInt16BigEndian(b[(12 + 2 * low)..]), z = BinaryPrimitives.ReadUInt16BigEndian(b[(14 + 2 * low)..]);
                    tones[i] = (float)((a + (z - a) * (at - low)) / 65535);
                }
            }
            return tones;
        }
        if (!b.StartsWith("para"u8)) return null;
        int kind = BinaryPrimitives.ReadUInt16BigEndian(b[8..]);
        int[] parameters = [1, 3, 4, 5, 7];
        if (kind > 4) return null;
        var p = new double[7];
        for (int i = 0; i < parameters[kind]; i++) p[i] = Fixed(b[(12 + 4 * i)..]);
        for (int i = 0; i < 256; i++) tones[i] = (float)Parametric(kind, p, i / 255.0);
        return tones;
    }

    /// <summary>ICC.1, table 68: g, a, b, c, d, e, f.</summary>
    private static double Parametric(int kind, double[] p, double x)
    {
        double power = Math.Pow(Math.Max(0, kind == 0 ? x : p[1] * x + p[2]), p[0]);
        return kind switch
        {
            0 => power,
            1 => x >= -p[2] / p[1] ? power : 0,
            2 => x >= -p[2] / p[1] ? power + p[3] : p[3],
            3 => x >= p[4] ? power : p[3] * x,
            _ => x >= p[4] ? power + p[5] : p[3] * x + p[6],
        };
    }
}
