using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Marks;

/// <summary>
/// How far a band's colour stands out of the cloth's own unevenness, in one of two views: by hue, blind to everything that is only darker or lighter than
/// the ground (furrow shadow, dips, the light's slope), or by brightness alone, for a mark lighter than the ground (chalk or silver on dark cloth).
/// </summary>
/// <remarks>Under less or more light a cloth's colour keeps its proportions, so shade lies along the ground's own colour vector.</remarks>
internal sealed class MarkMetric
{
    private readonly Colour3 _first, _second;
    private readonly double _xx, _xy, _yy;

    private MarkMetric(bool byHue, Colour3 first, Colour3 second, IReadOnlyList<Colour3> noise)
    {
        (ByHue, _first, _second) = (byHue, first, second);
        (_xx, _xy, _yy) = Inverse(noise);
    }

    public bool ByHue { get; }

    /// <param name="ground">Mean colour of the cloth.</param>
    /// <param name="noise">Band heights beside the lines, brought to unit information.</param>
    public static MarkMetric Of(bool byHue, Colour3 ground, IReadOnlyList<Colour3> noise)
    {
        Colour3 shade = 1 / Math.Max(1e-9, ground.Norm) * ground;
        if (!byHue) return new MarkMetric(false, shade, default, noise);
        Colour3 a = new(0, 1, 0);
        a -= shade.Dot(a) * shade;
        a = 1 / a.Norm * a;
        var b = new Colour3(shade.A * a.B - shade.B * a.A, shade.B * a.L - shade.L * a.B, shade.L * a.A - shade.A * a.L);
        return new MarkMetric(true, a, b, noise);
    }

    /// <summary>The view along one direction that is already scaled to unit noise.</summary>
    public static MarkMetric Along(Colour3 unit) => new(unit);

    private MarkMetric(Colour3 unit) => (ByHue, _first, _second, _xx, _xy, _yy) = (false, unit, default, 1, 0, 0);

    /// <summary>The direction in colour space of a direction in this view.</summary>
    public Colour3 Unview(double x, double y) => x * _first + y * _second;

    public (double X, double Y) View(Colour3 v) => (_first.Dot(v), _second.Dot(v));

    public double Dot(Colour3 p, Colour3 q)
    {
        (double px, double py) = View(p);
        (double qx, double qy) = View(q);
        return px * (_xx * qx + _xy * qy) + py * (_xy * qx + _yy * qy);
    }

    public double Norm(Colour3 v) => Math.Sqrt(Math.Max(0, Dot(v, v)));

    /// <summary>The direction that shows the given difference best, scaled to unit noise.</summary>
    public Colour3 Discriminant(Colour3 v)
    {
        (double x, double y) = View(v);
        double norm = Math.Max(1e-9, Norm(v));
        return ((_xx * x + _xy * y) / norm) * _first + ((_xy * x + _yy * y) / norm) * _second;
    }

    /// <summary>Levels of the 8-bit photo by which a difference shows in this view.</summary>
    public double Levels(Colour3 v)
    {
        (double x, double y) = View(v);
        return Math.Sqrt(x * x + y * y);
    }

    private (double, double, double) Inverse(IReadOnlyList<Colour3> noise)
    {
        (double X, double Y)[] seen = [.. noise.Select(View)];
        double xx = 1, xy = 0, yy = 1;
        for (int round = 0; round < 6; round++)
        {
            double sxx = 0, sxy = 0, syy = 0;
            int n = 0;
            double det = xx * yy - xy * xy;
            foreach ((double x, double y) in seen)
            {
                // Far values are left out from the second round on; within 2.5 sd a Gaussian of two dimensions keeps 0.86 of its variance.
                if (round > 0 && (yy * x * x - 2 * xy * x * y + xx * y * y) / det > 6.25) continue;
                (sxx, sxy, syy, n) = (sxx + x * x, sxy + x * y, syy + y * y, n + 1);
            }
            double k = (round > 0 ? 1 / 0.86 : 1) / Math.Max(1, n);
            double floor = 0.02 * (sxx + syy) * k + 1e-6;
            (xx, xy, yy) = (sxx * k + floor, sxy * k, syy * k + floor);
        }
        double d = xx * yy - xy * xy;
        return ByHue ? (yy / d, -xy / d, xx / d) : (1 / xx, 0, 0);
    }
}
