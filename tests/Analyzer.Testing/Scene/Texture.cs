using Analyzer.Testing.Colour;

namespace Analyzer.Testing.Scene;

/// <summary>Linear colour over a rectangle of the plane: texel (i, j) is the point left + i / texelsPerMm, top + j / texelsPerMm.</summary>
internal sealed class Texture
{
    private const float Scale = 32768;
    private readonly ushort[] _data;

    public Texture(PlaneArea area, double texelsPerMm)
    {
        (Area, TexelsPerMm) = (area, texelsPerMm);
        Width = (int)Math.Ceiling(area.WidthMm * texelsPerMm) + 2;
        Height = (int)Math.Ceiling(area.HeightMm * texelsPerMm) + 2;
        _data = new ushort[3L * Width * Height];
    }

    public PlaneArea Area { get; }

    public double TexelsPerMm { get; }

    public int Width { get; }

    public int Height { get; }

    public double XOf(int column) => Area.LeftMm + column / TexelsPerMm;

    public double YOf(int row) => Area.TopMm + row / TexelsPerMm;

    public LinearRgb this[int column, int row]
    {
        get
        {
            long i = 3 * ((long)row * Width + column);
            return new LinearRgb(_data[i] / Scale, _data[i + 1] / Scale, _data[i + 2] / Scale);
        }
        set
        {
            long i = 3 * ((long)row * Width + column);
            (_data[i], _data[i + 1], _data[i + 2]) = (Pack(value.R), Pack(value.G), Pack(value.B));
        }
    }

    /// <summary>Bilinear colour at a point inside the area.</summary>
    public LinearRgb Sample(double xMm, double yMm)
    {
        double gx = (xMm - Area.LeftMm) * TexelsPerMm, gy = (yMm - Area.TopMm) * TexelsPerMm;
        int ix = Math.Clamp((int)gx, 0, Width - 2), iy = Math.Clamp((int)gy, 0, Height - 2);
        float fx = (float)(gx - ix), fy = (float)(gy - iy);
        int a = 3 * (iy * Width + ix), b = a + 3 * Width;
        float wa = (1 - fx) * (1 - fy) / Scale, wb = fx * (1 - fy) / Scale, wc = (1 - fx) * fy / Scale, wd = fx * fy / Scale;
        ushort[] d = _data;
        return new LinearRgb(
            wa * d[a] + wb * d[a + 3] + wc * d[b] + wd * d[b + 3],
            wa * d[a + 1] + wb * d[a + 4] + wc * d[b + 1] + wd * d[b + 4],
            wa * d[a + 2] + wb * d[a + 5] + wc * d[b + 2] + wd * d[b + 5]);
    }

    private static ushort Pack(float v) => (ushort)Math.Clamp(v * Scale + 0.5f, 0, 65535);
}
