using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>Draws every stitch as a rounded, twisted dash of thread between two needle holes, in the order of stitching.</summary>
internal sealed class ThreadPainter
{
    private const int Bands = 16;
    private readonly Texture _texture;
    private readonly SceneSettings _settings;
    private readonly ThreadSettings _thread;
    private readonly uint _seed;
    private readonly double _lightX, _lightY, _cot;

    public ThreadPainter(Texture texture, SceneSettings settings, uint seed)
    {
        (_texture, _settings, _thread, _seed) = (texture, settings, settings.Thread, seed);
        double direction = settings.Light.FromDeg * Math.PI / 180;
        (_lightX, _lightY) = (Math.Cos(direction), -Math.Sin(direction));
        _cot = Math.Min(1.2, 1 / Math.Tan(settings.Light.ElevationDeg * Math.PI / 180));
    }

    public void Paint(StitchPlan plan)
    {
        List<Dash> dashes = [];
        double run = 0;
        foreach (StitchedLine line in plan.Ditch.Concat(plan.Lines.Where(l => !l.IsMissing)).Concat(plan.Extra).Concat(plan.Turns.Select(t => t.Stitches))) AddDashes(line, dashes, ref run);
        List<Dash> loose = LooseEnds(plan);
        Parallel.For(0, Bands, band =>
        {
            int top = band * _texture.Height / Bands, bottom = (band + 1) * _texture.Height / Bands;
            foreach (Dash dash in dashes) PaintDash(dash, top, bottom);
            foreach (Dash dash in loose) PaintDash(dash, top, bottom);
        });
    }

    private void AddDashes(StitchedLine line, List<Dash> dashes, ref double run)
    {
        for (int i = 0; i + 1 < line.Holes.Length; i++)
        {
            (double ax, double ay) = line.Holes[i];
            (double bx, double by) = line.Holes[i + 1];
            double length = Math.Sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
            if (length < 1e-6) continue;
            double gap = Math.Min(_settings.Stitch.HoleGapMm, 0.3 * length);
            dashes.Add(new Dash(ax, ay, (bx - ax) / length, (by - ay) / length, length, gap, run, line.IsDitch ? 0.75f : 1, _thread.HoleDarkness));
            run += length;
        }
    }

    private List<Dash> LooseEnds(StitchPlan plan)
    {
        var random = new SeededRandom(_settings.Seed, "loose ends");
        var dashes = new List<Dash>();
        var lines = plan.Lines.Where(l => !l.IsMissing && l.Holes.Length > 4).ToList();
        for (int n = 0; n < _settings.Stitch.LooseEnds && lines.Count > 0; n++)
        {
            (double x, double y) = random.Pick(lines).Holes[random.Chance(0.5) ? ^1 : 0];
            double direction = random.Uniform(0, 2 * Math.PI), curl = random.Uniform(-0.12, 0.12);
            int steps = 8 + random.Below(30);
            for (int i = 0; i < steps; i++)
            {
                direction += curl + 0.1 * random.Gaussian();
                dashes.Add(new Dash(x, y, Math.Cos(direction), Math.Sin(direction), 0.6, 0, i * 0.6, 1, 0));
                (x, y) = (x + 0.6 * Math.Cos(direction), y + 0.6 * Math.Sin(direction));
            }
        }
        return dashes;
    }

    private LinearRgb ColourAt(double run)
    {
        IReadOnlyList<LinearRgb> colours = _thread.Colours;
        if (colours.Count == 1) return colours[0];
        double place = run / _thread.ColourRunMm * colours.Count;
        int i = (int)Math.Floor(place);
        double f = Math.Clamp((place - i - 0.5) * 3 + 0.5, 0, 1);
        return LinearRgb.Mix(colours[i % colours.Count], colours[(i + 1) % colours.Count], (float)f);
    }

    private void PaintDash(Dash d, int top, int bottom)
    {
        double reach = 0.5 * _thread.WidthMm + 0.7, t = _texture.TexelsPerMm, bx = d.X + d.Ux * d.Length, by = d.Y + d.Uy * d.Length;
        int c0 = Math.Max(0, (int)((Math.Min(d.X, bx) - reach - _texture.Area.LeftMm) * t)), c1 = Math.Min(_texture.Width - 1, (int)((Math.Max(d.X, bx) + reach - _texture.Area.LeftMm) * t) + 1);
        int r0 = Math.Max(top, (int)((Math.Min(d.Y, by) - reach - _texture.Area.TopMm) * t)), r1 = Math.Min(bottom - 1, (int)((Math.Max(d.Y, by) + reach - _texture.Area.TopMm) * t) + 1);
        if (r0 > r1 || c0 > c1) return;
        LinearRgb colour = ColourAt(d.Run) * d.Tone;
        double half = _thread.WidthMm / 2, lightAcross = -_lightX * d.Uy + _lightY * d.Ux;
        double shadowAt = -0.5 * half * lightAcross * _cot;
        for (int row = r0; row <= r1; row++)
        {
            for (int col = c0; col <= c1; col++)
            {
                double x = _texture.XOf(col) - d.X, y = _texture.YOf(row) - d.Y;
                double s = x * d.Ux + y * d.Uy, u = -x * d.Uy + y * d.Ux;
                if (s < -0.5 || s > d.Length + 0.5 || Math.Abs(u) > reach) continue;
                LinearRgb under = _texture[col, row];
                double along = s < d.Gap ? d.Gap - s : s > d.Length - d.Gap ? s - d.Length + d.Gap : 0;
                float dark = Shade(s, u, along, half, shadowAt, d);
                under *= dark;
                double cover = Cover(s, u, half, d, t);
                if (cover > 0.002) under = LinearRgb.Mix(under, ThreadColour(colour, s, u, half, lightAcross, d), (float)cover);
                _texture[col, row] = under;
            }
        }
    }

    /// <summary>Darkening of the cloth by the thread's own shadow and by the needle hole at the dash's start.</summary>
    private float Shade(double s, double u, double along, double half, double shadowAt, Dash d)
    {
        double shadow = _thread.ContactShadow * Math.Exp(-Math.Pow((u - shadowAt) / (half + 0.12), 2)) * Math.Exp(-Math.Pow(along / 0.2, 2));
        double hole = d.Hole * Math.Exp(-(s * s / 0.035 + u * u / 0.03));
        return (float)((1 - (s >= -0.01 && s < d.Length ? shadow : 0)) * (1 - hole));
    }

    private static double Cover(double s, double u, double half, Dash d, double texelsPerMm)
    {
        double from = d.Gap, to = d.Length - d.Gap;
        // The thread narrows where it dives into the hole.
        double end = Math.Min(s - from, to - s), width = half * (end >= half ? 1 : Math.Sqrt(Math.Max(0, 1 - Math.Pow((half - end) / half, 2))));
        if (d.Gap == 0) width = s >= 0 && s < d.Length ? half : 0;
        return Math.Clamp(0.5 + (width - Math.Abs(u)) * texelsPerMm, 0, 1) * (width > 0 ? 1 : 0);
    }

    private LinearRgb ThreadColour(LinearRgb colour, double s, double u, double half, double lightAcross, Dash d)
    {
        double across = Math.Clamp(u / half, -0.98, 0.98), up = Math.Sqrt(1 - across * across);
        double lit = Math.Max(0, up + 0.7 * across * lightAcross * _cot);
        double round = 1 - _thread.Roundness + _thread.Roundness * (0.25 + 0.85 * lit);
        double phase = (d.Run + s) / _thread.TwistPitchMm + 0.35 * across;
        double twist = 1 + _thread.Twist * Math.Sin(2 * Math.PI * phase);
        double t = s / d.Length, dive = 0.75 + 0.25 * Math.Min(1, 6 * Math.Min(t, 1 - t));
        float k = (float)Math.Max(0.03, round * twist * dive);
        if (_thread.Glint <= 0) return colour * k;
        float spark = SmoothNoise.Unit((int)Math.Floor(phase * 2), (int)(d.Run * 3.1), _seed);
        float glint = (float)(_thread.Glint * Math.Pow(spark, 5) * Math.Exp(-Math.Pow((across - 0.3 * lightAcross) / 0.5, 2)) * 1.3);
        return colour * k + new LinearRgb(glint, glint * 0.97f, glint * 0.9f);
    }

    private readonly record struct Dash(double X, double Y, double Ux, double Uy, double Length, double Gap, double Run, float Tone, double Hole);
}
