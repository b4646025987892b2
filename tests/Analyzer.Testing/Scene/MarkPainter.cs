using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>Draws marking lines on the cloth: ink that stains, chalk that lies on top in grains, silver pencil on the yarns' tops.</summary>
internal sealed class MarkPainter(Texture texture, MarkSettings marks, WeaveModel weave, uint seed)
{
    private const int Bands = 16;

    public void Paint((double X, double Y)[][] paths) =>
        Parallel.For(0, Bands, band =>
        {
            int top = band * texture.Height / Bands, bottom = (band + 1) * texture.Height / Bands;
            foreach ((double X, double Y)[] path in paths)
                for (int i = 0; i + 1 < path.Length; i++) PaintSegment(path[i], path[i + 1], top, bottom);
        });

    private void PaintSegment((double X, double Y) a, (double X, double Y) b, int top, int bottom)
    {
        double reach = 0.7 * marks.WidthMm + 0.3, ex = b.X - a.X, ey = b.Y - a.Y, length = Math.Sqrt(ex * ex + ey * ey);
        if (length < 1e-9) return;
        (ex, ey) = (ex / length, ey / length);
        double t = texture.TexelsPerMm;
        int c0 = Math.Max(0, (int)((Math.Min(a.X, b.X) - reach - texture.Area.LeftMm) * t)), c1 = Math.Min(texture.Width - 1, (int)((Math.Max(a.X, b.X) + reach - texture.Area.LeftMm) * t) + 1);
        int r0 = Math.Max(top, (int)((Math.Min(a.Y, b.Y) - reach - texture.Area.TopMm) * t)), r1 = Math.Min(bottom - 1, (int)((Math.Max(a.Y, b.Y) + reach - texture.Area.TopMm) * t) + 1);
        for (int row = r0; row <= r1; row++)
        {
            for (int col = c0; col <= c1; col++)
            {
                double x = texture.XOf(col), y = texture.YOf(row), s = (x - a.X) * ex + (y - a.Y) * ey;
                if (s < 0 || s >= length) continue;
                double u = (x - a.X) * -ey + (y - a.Y) * ex;
                float cover = Cover(x, y, u);
                if (cover > 0.003f) texture[col, row] = Blend(texture[col, row], cover);
            }
        }
    }

    private float Cover(double x, double y, double u)
    {
        double half = marks.WidthMm / 2, strength = marks.Strength;
        float grain = SmoothNoise.Value(x * 5, y * 5, seed), patch = SmoothNoise.Value(x * 0.35, y * 0.35, seed + 3), tops = weave.At(x, y) - 1;
        double edge = half * (1 + 0.12 * SmoothNoise.Value(x * 1.5, y * 1.5, seed + 5));
        double core = Math.Clamp(0.5 + (edge - Math.Abs(u)) / 0.2, 0, 1);
        return marks.Kind switch
        {
            MarkKind.BluePen => (float)(strength * core * (0.85 + 0.15 * patch + 0.1 * grain)),
            MarkKind.Chalk => (float)(strength * Math.Exp(-Math.Pow(u / half, 4)) * Math.Clamp(0.5 + 0.9 * grain + 2.5 * tops + 0.3 * patch, 0, 1)),
            _ => (float)(strength * core * Math.Clamp(0.6 + 0.5 * grain + 3 * tops + 0.25 * patch, 0, 1)),
        };
    }

    private LinearRgb Blend(LinearRgb cloth, float cover) => marks.Kind == MarkKind.BluePen
        ? cloth * LinearRgb.Mix(new LinearRgb(1, 1, 1), marks.Colour, cover)
        : LinearRgb.Mix(cloth, marks.Colour, Math.Min(cover, 1));
}
