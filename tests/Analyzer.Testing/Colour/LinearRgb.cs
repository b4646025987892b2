namespace Analyzer.Testing.Colour;

/// <summary>A colour in linear light with the primaries of sRGB (IEC 61966-2-1), 1 = white.</summary>
public readonly record struct LinearRgb(float R, float G, float B)
{
    public static LinearRgb operator *(LinearRgb a, float k) => new(a.R * k, a.G * k, a.B * k);

    public static LinearRgb operator *(LinearRgb a, LinearRgb b) => new(a.R * b.R, a.G * b.G, a.B * b.B);

    public static LinearRgb operator +(LinearRgb a, LinearRgb b) => new(a.R + b.R, a.G + b.G, a.B + b.B);

    public static LinearRgb Mix(LinearRgb a, LinearRgb b, float share) =>
        new(a.R + (b.R - a.R) * share, a.G + (b.G - a.G) * share, a.B + (b.B - a.B) * share);

    /// <summary>From 0xRRGGBB as written for the web.</summary>
    public static LinearRgb FromHex(int rgb) =>
        new(Decode((rgb >> 16 & 255) / 255f), Decode((rgb >> 8 & 255) / 255f), Decode((rgb & 255) / 255f));

    public static float Decode(float v) => v <= 0.04045f ? v / 12.92f : MathF.Pow((v + 0.055f) / 1.055f, 2.4f);

    public static float Encode(float v) => v <= 0.0031308f ? v * 12.92f : 1.055f * MathF.Pow(v, 1 / 2.4f) - 0.055f;

    /// <summary>From CIE L*a*b* (D65 white), clipped into the sRGB gamut.</summary>
    public static LinearRgb FromLab(double l, double a, double b)
    {
        double fy = (l + 16) / 116, x = 0.95047 * Cube(fy + a / 500), y = Cube(fy), z = 1.08883 * Cube(fy - b / 200);
        return new(
            Clip(3.2404542 * x - 1.5371385 * y - 0.4985314 * z),
            Clip(-0.9692660 * x + 1.8760108 * y + 0.0415560 * z),
            Clip(0.0556434 * x - 0.2040259 * y + 1.0572252 * z));
    }

    /// <summary>CIE L*a*b* for D65 white.</summary>
    public (double L, double A, double B) ToLab()
    {
        double fx = Root((0.4124564 * R + 0.3575761 * G + 0.1804375 * B) / 0.95047);
        double fy = Root(0.2126729 * R + 0.7151522 * G + 0.0721750 * B);
        double fz = Root((0.0193339 * R + 0.1191920 * G + 0.9503041 * B) / 1.08883);
        return (116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz));
    }

    /// <summary>The colour at a CIE 1976 distance of about <paramref name="deltaE"/> in the given direction of L*, a*, b*.</summary>
    public LinearRgb ShiftedInLab(double deltaE, double dl, double da, double db)
    {
        (double l, double a, double b) = ToLab();
        double k = deltaE / Math.Max(1e-9, Math.Sqrt(dl * dl + da * da + db * db));
        return FromLab(Math.Clamp(l + k * dl, 2, 98), a + k * da, b + k * db);
    }

    private static float Clip(double v) => (float)Math.Clamp(v, 0.001, 1);

    private static double Cube(double f) => f > 6.0 / 29 ? f * f * f : (f - 16.0 / 116) * 3 * 36 / 841;

    private static double Root(double t) => t > 216.0 / 24389 ? Math.Cbrt(t) : t * 841 / 108 + 16.0 / 116;
}
