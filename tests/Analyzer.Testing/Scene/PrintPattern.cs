using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>The printed colour of cloth at a point of the plane, before weave and light.</summary>
internal sealed class PrintPattern
{
    private readonly Print _kind;
    private readonly LinearRgb[] _colours;
    private readonly double _scale, _cos, _sin;
    private readonly uint _seed;

    public PrintPattern(Print kind, IReadOnlyList<LinearRgb> colours, double scaleMm, double turnDeg, uint seed)
    {
        (_kind, _scale, _seed) = (kind, scaleMm, seed);
        _colours = [.. colours];
        (_sin, _cos) = Math.SinCos(turnDeg * Math.PI / 180);
    }

    public bool IsPlain => _kind == Print.Solid;

    public LinearRgb Ground => _colours[0];

    public LinearRgb At(double xMm, double yMm)
    {
        double x = (_cos * xMm - _sin * yMm) / _scale, y = (_sin * xMm + _cos * yMm) / _scale;
        return _kind switch
        {
            Print.Dots => Dots(x, y),
            Print.Stripes => Stripes(x),
            Print.Check => Check(x, y),
            Print.Floral => Floral(x, y),
            Print.Blobs => Blobs(x, y),
            Print.Mottled => Mottled(x, y),
            Print.Scatter => Scatter(x, y),
            _ => Ground,
        };
    }

    private LinearRgb Second => _colours[Math.Min(1, _colours.Length - 1)];

    private LinearRgb Other(uint pick) => _colours.Length < 2 ? Ground : _colours[1 + (int)(pick % (uint)(_colours.Length - 1))];

    /// <summary>1 inside, 0 outside, soft over about 0.12 mm.</summary>
    private float Edge(double insideBy) => (float)Math.Clamp(0.5 + insideBy * _scale / 0.12, 0, 1);

    private LinearRgb Dots(double x, double y)
    {
        // Every second row shifted by half, as dotted prints are.
        double row = Math.Round(y), col = Math.Round(x - 0.5 * ((int)row & 1)), cx = col + 0.5 * ((int)row & 1);
        uint pick = SmoothNoise.Hash((int)col, (int)row, _seed);
        double radius = 0.22 + 0.02 * ((pick >> 8 & 255) / 255.0);
        return LinearRgb.Mix(Ground, Other(pick), Edge(radius - Math.Sqrt((x - cx) * (x - cx) + (y - row) * (y - row))));
    }

    private LinearRgb Stripes(double x)
    {
        double cell = Math.Floor(x), f = x - cell;
        LinearRgb c = LinearRgb.Mix(Ground, Second, Edge(0.22 - Math.Abs(f - 0.3)));
        return LinearRgb.Mix(c, Other((uint)(int)cell), Edge(0.05 - Math.Abs(f - 0.75)));
    }

    private LinearRgb Check(double x, double y)
    {
        double fx = x - Math.Floor(x), fy = y - Math.Floor(y);
        float a = Edge(0.25 - Math.Abs(fx - 0.5)), b = Edge(0.25 - Math.Abs(fy - 0.5));
        return LinearRgb.Mix(Ground, Second, 0.5f * (a + b));
    }

    private LinearRgb Floral(double x, double y)
    {
        LinearRgb colour = Ground;
        int ix = (int)Math.Floor(x), iy = (int)Math.Floor(y);
        for (int cy = iy - 1; cy <= iy + 1; cy++)
        {
            for (int cx = ix - 1; cx <= ix + 1; cx++)
            {
                uint h = SmoothNoise.Hash(cx, cy, _seed);
                double px = cx + 0.5 + 0.35 * ((h & 255) / 127.5 - 1), py = cy + 0.5 + 0.35 * ((h >> 8 & 255) / 127.5 - 1);
                double dx = x - px, dy = y - py, r = Math.Sqrt(dx * dx + dy * dy), turn = (h >> 16 & 255) / 40.0;
                if (r > 0.62) continue;
                double angle = Math.Atan2(dy, dx) + turn, size = 0.25 + 0.16 * ((h >> 24) / 255.0);
                double leaf = 0.55 * size * (1 + 0.3 * Math.Cos(2 * angle)) * Math.Pow(Math.Abs(Math.Cos(angle + 0.7)), 3) * 2.6;
                double petals = size * (0.72 + 0.28 * Math.Cos(5 * angle));
                if (_colours.Length > 2) colour = LinearRgb.Mix(colour, _colours[^1], 0.8f * Edge(leaf - r));
                LinearRgb petal = Other(h >> 5) * (float)(0.8 + 0.35 * r / size);
                colour = LinearRgb.Mix(colour, petal, Edge(petals - r));
                colour = LinearRgb.Mix(colour, LinearRgb.Mix(Ground, _colours[^1], 0.6f), Edge(0.24 * size - r));
            }
        }
        return colour;
    }

    private LinearRgb Blobs(double x, double y)
    {
        float n = SmoothNoise.Octaves(x * 1.5, y * 1.5, _seed, 3), m = SmoothNoise.Octaves(x * 2.1 + 40, y * 2.1, _seed + 3, 2);
        LinearRgb c = LinearRgb.Mix(Ground, Second, (float)Math.Clamp(0.5 + (n - 0.12) * 9, 0, 1));
        return LinearRgb.Mix(c, Other(1), (float)Math.Clamp(0.5 + (m - 0.25) * 12, 0, 1));
    }

    private LinearRgb Mottled(double x, double y)
    {
        float warp = SmoothNoise.Octaves(x * 0.6, y * 0.6, _seed + 11, 2);
        float n = SmoothNoise.Octaves(x * 0.8 + warp, y * 0.8 - warp, _seed, 5), m = SmoothNoise.Octaves(x * 2.2, y * 2.2, _seed + 3, 3);
        LinearRgb c = LinearRgb.Mix(Ground, Second, Math.Clamp(0.5f + 1.3f * n, 0, 1));
        c = LinearRgb.Mix(c, Other(1), 0.6f * Math.Clamp(2.2f * m - 0.2f, 0, 1));
        // Fine cracks where the dye crept under the wax.
        float vein = Math.Abs(SmoothNoise.Octaves(x * 1.4 + 9, y * 1.4, _seed + 21, 3));
        return LinearRgb.Mix(c, Second * 0.8f, 0.35f * Math.Clamp(1 - vein * 22, 0, 1));
    }

    private LinearRgb Scatter(double x, double y)
    {
        LinearRgb colour = Ground;
        int ix = (int)Math.Floor(x * 2), iy = (int)Math.Floor(y * 2);
        for (int cy = iy - 1; cy <= iy + 1; cy++)
        {
            for (int cx = ix - 1; cx <= ix + 1; cx++)
            {
                uint h = SmoothNoise.Hash(cx, cy, _seed);
                if ((h & 3) == 0) continue;
                double px = (cx + (h >> 4 & 255) / 255.0) / 2, py = (cy + (h >> 12 & 255) / 255.0) / 2, turn = (h >> 20) * 0.01;
                (double s, double c) = Math.SinCos(turn);
                double a = c * (x - px) + s * (y - py), b = -s * (x - px) + c * (y - py);
                colour = LinearRgb.Mix(colour, Other(h >> 7), Edge(0.035 - Math.Max(Math.Abs(b), Math.Abs(a) - 0.13)));
            }
        }
        return colour;
    }
}
