using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>Paints cloth (block and surround) with print, weave, seams and relief, then marks, then thread, into one texture.</summary>
internal sealed class ClothPainter
{
    private readonly SceneSettings _settings;
    private readonly PlaneDistortion _distortion;
    private readonly ReliefMap _relief;
    private readonly Texture _texture;
    private readonly PrintPattern _print, _borderPrint, _otherPrint;
    private readonly WeaveModel _weave, _borderWeave;
    private readonly double _w, _h;

    public ClothPainter(SceneSettings settings, StitchPlan plan, PlaneDistortion distortion, PlaneArea area, double texelsPerMm)
    {
        (_settings, _distortion) = (settings, distortion);
        (_w, _h) = (settings.Size.WidthMm, settings.Size.HeightMm);
        var random = new SeededRandom(settings.Seed, "cloth");
        ClothSettings c = settings.Cloth;
        SurroundSettings s = settings.Surround;
        _print = new PrintPattern(c.Print, c.Colours, c.PrintScaleMm, c.PrintTurnDeg, random.NextSeed());
        _borderPrint = new PrintPattern(s.Print, [s.Colour, s.PrintColour], random.Uniform(4, 14), random.Uniform(-40, 40), random.NextSeed());
        _otherPrint = new PrintPattern(Print.Solid, [LinearRgb.Mix(s.Colour, c.Colours[^1], 0.6f)], 5, 0, random.NextSeed());
        _weave = new WeaveModel(c, texelsPerMm, random.NextSeed());
        _borderWeave = new WeaveModel(c with { Weave = c.Weave == Weave.None ? Weave.None : Weave.Plain, GrainDeg = random.Uniform(-2, 2) }, texelsPerMm, random.NextSeed());
        _relief = new ReliefMap(settings, plan, distortion, area);
        _texture = new Texture(area, texelsPerMm);
        Parallel.For(0, _texture.Height, PaintRow);
        if (settings.Marks is { } marks) new MarkPainter(_texture, marks, _weave, random.NextSeed()).Paint([.. plan.Lines.Select(l => l.Mark)]);
        new ThreadPainter(_texture, settings, random.NextSeed()).Paint(plan);
    }

    public Texture Texture => _texture;

    private void PaintRow(int row)
    {
        double y = _texture.YOf(row);
        (double X, double Y)[] pattern = _distortion.UndoRow(_texture.XOf(0), 1 / _texture.TexelsPerMm, _texture.Width, y);
        for (int col = 0; col < _texture.Width; col++)
        {
            double x = _texture.XOf(col);
            (double px, double py) = pattern[col];
            bool inside = px >= 0 && py >= 0 && px <= _w && py <= _h;
            double within = Math.Min(Math.Min(px, _w - px), Math.Min(py, _h - py)) * _texture.TexelsPerMm;
            // Texels that the finished edge cuts take their share of both sides: the edge keeps its sub-texel place.
            LinearRgb albedo = Math.Abs(within) < 0.5 ? LinearRgb.Mix(SurroundColour(px, py), BlockColour(px, py), (float)(0.5 + within))
                : inside ? BlockColour(px, py) : SurroundColour(px, py);
            float weave = inside || SameCloth ? _weave.At(x, y) : _borderWeave.At(x, y);
            if (inside && _settings.Cloth.WeftTint is { } tint && !_weave.IsWarp(x, y)) albedo *= tint;
            float seam = Seams(px, py, inside);
            _texture[col, row] = albedo * Math.Max(0.05f, weave * seam * _relief.At(x, y));
        }
    }

    private bool SameCloth => _settings.Surround.Kind is Surround.TableOnly or Surround.DitchOnly;

    private LinearRgb BlockColour(double x, double y)
    {
        LinearRgb c = _print.At(x, y);
        if (_settings.Cloth.SeamAt is not { } at) return c;
        double past = _settings.Cloth.SeamUpright ? x - at * _w : y - at * _h;
        return past > 0 ? c * _settings.Cloth.SeamStep : c;
    }

    private LinearRgb SurroundColour(double x, double y)
    {
        if (SameCloth) return _print.At(x, y);
        if (_settings.Surround.Kind != Surround.LargerQuilt) return _borderPrint.At(x, y);
        // Sashing of the given width with cornerstones, then neighbouring blocks.
        double sash = _settings.Surround.WidthMm, dx = Math.Max(-x, x - _w), dy = Math.Max(-y, y - _h);
        if (dx > 0 && dx <= sash && dy > 0 && dy <= sash) return _otherPrint.At(x, y);
        if ((dx > 0 && dx <= sash) || (dy > 0 && dy <= sash)) return _borderPrint.At(x, y);
        return _print.At(x + 1000, y + 700) * 0.95f;
    }

    /// <summary>Darkness of seams: the finished edge, border joins, and a pieced seam.</summary>
    private float Seams(double x, double y, bool inside)
    {
        SurroundSettings s = _settings.Surround;
        double edge = inside ? Math.Min(Math.Min(x, _w - x), Math.Min(y, _h - y))
            : Math.Sqrt(Math.Pow(Math.Max(0, Math.Max(-x, x - _w)), 2) + Math.Pow(Math.Max(0, Math.Max(-y, y - _h)), 2));
        double dark = Groove(edge, s.SeamDarkness);
        if (!inside && !SameCloth)
        {
            double dx = Math.Max(-x, x - _w), dy = Math.Max(-y, y - _h);
            if (s.Kind == Surround.LargerQuilt)
                dark = Math.Max(dark, Groove(Math.Min(Math.Min(Math.Abs(dx), Math.Abs(dy)), Math.Min(Math.Abs(dx - s.WidthMm), Math.Abs(dy - s.WidthMm))), s.SeamDarkness));
            else if (s.Mitred && dx > 0 && dy > 0)
                dark = Math.Max(dark, Groove(Math.Abs(dx - dy) / Math.Sqrt(2), 0.8 * s.SeamDarkness));
            else if (!s.Mitred && dx > 0)
                dark = Math.Max(dark, Groove(Math.Abs(dy), 0.8 * s.SeamDarkness));
        }
        if (inside && _settings.Cloth.SeamAt is { } at)
            dark = Math.Max(dark, Groove(Math.Abs(_settings.Cloth.SeamUpright ? x - at * _w : y - at * _h), 0.4));
        return (float)(1 - dark);
    }

    private static double Groove(double distanceMm, double darkness) =>
        distanceMm > 2 ? 0 : darkness * (0.75 * Math.Exp(-Math.Pow(distanceMm / 0.22, 2)) + 0.25 * Math.Exp(-Math.Pow(distanceMm / 0.7, 2)));
}
