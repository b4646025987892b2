using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>The table's colour at any point of the plane: boards with grain, a printed cutting mat, a coarse cloth or a plain top.</summary>
internal sealed class TablePainter
{
    private readonly TableSettings _table;
    private readonly double _cos, _sin, _shiftX, _shiftY;
    private readonly uint _seed;
    private readonly LinearRgb _mark;

    public TablePainter(TableSettings table, int seed)
    {
        _table = table;
        (_sin, _cos) = Math.SinCos(table.TurnDeg * Math.PI / 180);
        var random = new SeededRandom(seed, "table");
        _seed = random.NextSeed();
        (_shiftX, _shiftY) = (random.Uniform(0, 400), random.Uniform(0, 400));
        bool light = table.Colour.ToLab().L > 60;
        _mark = light ? table.Colour * 0.45f : LinearRgb.Mix(table.Colour, new LinearRgb(0.9f, 0.9f, 0.8f), 0.6f);
    }

    public LinearRgb At(double xMm, double yMm)
    {
        double x = _cos * xMm - _sin * yMm + _shiftX, y = _sin * xMm + _cos * yMm + _shiftY;
        return _table.Kind switch
        {
            TableKind.Wood => Wood(x, y),
            TableKind.CuttingMat => Mat(x, y),
            TableKind.Cloth => CoarseCloth(x, y),
            _ => _table.Colour * (1 + 0.04f * SmoothNoise.Octaves(x / 40, y / 40, _seed, 3) + 0.02f * SmoothNoise.Value(x * 3, y * 3, _seed + 4)),
        };
    }

    private LinearRgb Wood(double x, double y)
    {
        const double board = 95;
        int number = (int)Math.Floor(y / board);
        double inBoard = y - number * board, shift = 300 * SmoothNoise.Unit(number, 3, _seed);
        float tone = 0.9f + 0.2f * SmoothNoise.Unit(number, 5, _seed);
        double rings = 6 * SmoothNoise.Octaves((x + shift) / 260, y / 38, _seed + (uint)number, 3);
        float ring = 0.5f + 0.5f * (float)Math.Sin(2 * Math.PI * (rings + inBoard / 26));
        float streak = SmoothNoise.Octaves((x + shift) / 45, y * 1.6, _seed + 17, 2) + 0.8f * SmoothNoise.Value((x + shift) / 9, y * 5, _seed + 19);
        float joint = (float)(1 - 0.55 * Math.Exp(-Math.Pow(Math.Min(inBoard, board - inBoard) / 0.5, 2)));
        return _table.Colour * (tone * joint * (1 - 0.13f * ring * ring + 0.15f * streak));
    }

    private LinearRgb Mat(double x, double y)
    {
        float grain = 1 + 0.05f * SmoothNoise.Value(x * 4, y * 4, _seed) + 0.05f * SmoothNoise.Octaves(x / 30, y / 30, _seed + 2, 3);
        float scratch = SmoothNoise.Octaves(x / 60 + y / 9, y / 70 - x / 900, _seed + 8, 2);
        double Line(double v, double step, double half)
        {
            double d = Math.Abs(v - Math.Round(v / step) * step);
            return Math.Clamp(0.5 + (half - d) / 0.15, 0, 1);
        }
        double ink = Math.Max(Math.Max(Line(x, 10, 0.12), Line(y, 10, 0.12)) * 0.55, Math.Max(Line(x, 50, 0.22), Line(y, 50, 0.22)) * 0.85);
        LinearRgb c = LinearRgb.Mix(_table.Colour * grain, _mark, (float)ink);
        return c * (scratch > 0.42f ? 1.12f : 1);
    }

    private LinearRgb CoarseCloth(double x, double y)
    {
        float a = (float)Math.Sin(x * Math.PI / 0.9), b = (float)Math.Sin(y * Math.PI / 0.9);
        return _table.Colour * (1 + 0.12f * a * b + 0.08f * SmoothNoise.Octaves(x / 3, y / 3, _seed, 3) + 0.08f * SmoothNoise.Octaves(x / 60, y / 60, _seed + 3, 2));
    }
}
