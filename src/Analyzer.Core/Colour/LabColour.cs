namespace Analyzer.Core.Colour;

/// <summary>A colour in CIE L*a*b*, D65 white.</summary>
public readonly record struct LabColour(double L, double A, double B)
{
    private const double WhiteX = 0.95047, WhiteZ = 1.08883;

    /// <summary>From sRGB values 0..255 (IEC 61966-2-1).</summary>
    public static LabColour FromSrgb(double red, double green, double blue)
    {
        double r = Linear(red / 255), g = Linear(green / 255), b = Linear(blue / 255);
        double x = F((0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / WhiteX);
        double y = F(0.2126729 * r + 0.7151522 * g + 0.0721750 * b);
        double z = F((0.0193339 * r + 0.1191920 * g + 0.9503041 * b) / WhiteZ);
        return new LabColour(116 * y - 16, 500 * (x - y), 200 * (y - z));
    }

    /// <summary>Linear light of an sRGB value, both 0 to 1 (IEC 61966-2-1).</summary>
    public static double Linear(double v) => v <= 0.04045 ? v / 12.92 : Math.Pow((v + 0.055) / 1.055, 2.4);

    private static double F(double t) => t > 216.0 / 24389 ? Math.Cbrt(t) : (24389.0 / 27 * t + 16) / 116;

    /// <summary>Straight distance in Lab (CIE 1976).</summary>
    public double Difference76(LabColour other) =>
        Math.Sqrt((L - other.L) * (L - other.L) + (A - other.A) * (A - other.A) + (B - other.B) * (B - other.B));

    /// <summary>Colour difference as the eye sees it (CIEDE2000); about 1 is just noticeable.</summary>
    /// <remarks>Sharma, Wu, Dalal 2005, with kL = kC = kH = 1.</remarks>
    public double Difference2000(LabColour other)
    {
        const double degree = Math.PI / 180, pow25 = 6103515625.0;
        double meanC = (Math.Sqrt(A * A + B * B) + Math.Sqrt(other.A * other.A + other.B * other.B)) / 2;
        double g = 0.5 * (1 - Math.Sqrt(Math.Pow(meanC, 7) / (Math.Pow(meanC, 7) + pow25)));
        (double c1, double h1) = Polar((1 + g) * A, B);
        (double c2, double h2) = Polar((1 + g) * other.A, other.B);
        double dh = 0, h = h1 + h2;
        if (c1 * c2 > 0)
        {
            dh = h2 - h1;
            h /= 2;
            if (Math.Abs(dh) > 180)
            {
                h += h1 + h2 < 360 ? 180 : -180;
                dh += dh > 0 ? -360 : 360;
            }
        }
        double l = (L + other.L) / 2, c = (c1 + c2) / 2, dH = 2 * Math.Sqrt(c1 * c2) * Math.Sin(dh / 2 * degree);
        double t = 1 - 0.17 * Math.Cos((h - 30) * degree) + 0.24 * Math.Cos(2 * h * degree) + 0.32 * Math.Cos((3 * h + 6) * degree) - 0.20 * Math.Cos((4 * h - 63) * degree);
        double sl = 1 + 0.015 * (l - 50) * (l - 50) / Math.Sqrt(20 + (l - 50) * (l - 50)), sc = 1 + 0.045 * c, sh = 1 + 0.015 * c * t;
        double rc = 2 * Math.Sqrt(Math.Pow(c, 7) / (Math.Pow(c, 7) + pow25));
        double rt = -Math.Sin(60 * degree * Math.Exp(-Math.Pow((h - 275) / 25, 2))) * rc;
        double kl = (other.L - L) / sl, kc = (c2 - c1) / sc, kh = dH / sh;
        return Math.Sqrt(kl * kl + kc * kc + kh * kh + rt * kc * kh);
    }

    private static (double C, double HueDeg) Polar(double a, double b)
    {
        if (a == 0 && b == 0) return (0, 0);
        double hue = Math.Atan2(b, a) * 180 / Math.PI;
        return (Math.Sqrt(a * a + b * b), hue < 0 ? hue + 360 : hue);
    }
}
