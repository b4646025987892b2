using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>A smooth displacement of the whole block: sides drawn in, cloth not square, a soft bulge. Plane = pattern + displacement.</summary>
internal sealed class PlaneDistortion
{
    private readonly double[] _a = new double[10];
    private readonly double _w, _h;

    public PlaneDistortion(BlockSize size, double rmsMm, SeededRandom random)
    {
        (_w, _h) = (size.WidthMm, size.HeightMm);
        if (rmsMm <= 0) return;
        double drawIn = random.Uniform(0.3, 1);
        _a[0] = -drawIn * random.Uniform(0.7, 1.3);
        _a[1] = -drawIn * random.Uniform(0.7, 1.3);
        for (int i = 2; i < 10; i++) _a[i] = 0.35 * random.Gaussian();
        double residual = ResidualRms(size);
        for (int i = 0; i < 10; i++) _a[i] *= rmsMm / residual;
    }

    /// <summary>From the pattern as meant to the plane as sewn, mm.</summary>
    public (double X, double Y) Apply(double x, double y)
    {
        (double dx, double dy) = Displacement(x, y);
        return (x + dx, y + dy);
    }

    /// <summary>From the plane back to the pattern, mm (two fixed-point steps; the displacement is smooth and small).</summary>
    public (double X, double Y) Undo(double x, double y)
    {
        (double dx, double dy) = Displacement(x, y);
        (dx, dy) = Displacement(x - dx, y - dy);
        return (x - dx, y - dy);
    }

    /// <summary>Undoes the displacement for a whole row of points of one y: exact every millimetre, straight between.</summary>
    public (double X, double Y)[] UndoRow(double startX, double stepMm, int count, double y)
    {
        int stride = Math.Max(1, (int)(1 / stepMm));
        var row = new (double X, double Y)[count];
        (double X, double Y) a = Undo(startX, y);
        for (int from = 0; from < count; from += stride)
        {
            (double X, double Y) b = Undo(startX + (from + stride) * stepMm, y);
            for (int i = from; i < Math.Min(count, from + stride); i++)
            {
                double t = (double)(i - from) / stride;
                row[i] = (a.X + t * (b.X - a.X), a.Y + t * (b.Y - a.Y));
            }
            a = b;
        }
        return row;
    }

    private (double Dx, double Dy) Displacement(double x, double y)
    {
        double u = Math.Clamp(x / _w, -0.35, 1.35) - 0.5, v = Math.Clamp(y / _h, -0.35, 1.35) - 0.5;
        double bu = 1 - 4 * u * u, bv = 1 - 4 * v * v, bump = Math.Exp(-6 * (u * u + v * v));
        double dx = _a[0] * 2 * u * bv + _a[2] * bv + _a[3] * bv * v + _a[4] * u * v + _a[8] * bump;
        double dy = _a[1] * 2 * v * bu + _a[5] * bu + _a[6] * bu * u + _a[7] * u * v + _a[9] * bump;
        return (dx, dy);
    }

    /// <summary>R.m.s. displacement that remains after the four corners have been put right.</summary>
    private double ResidualRms(BlockSize size)
    {
        Homography back = Homography.FromFourPoints(
            [.. size.Corners().Select(c => Apply(c.Xmm, c.Ymm))], [.. size.Corners().Select(c => (c.Xmm, c.Ymm))]);
        double sum = 0;
        for (int i = 0; i <= 10; i++)
        {
            for (int j = 0; j <= 10; j++)
            {
                (double px, double py) = Apply(i * _w / 10, j * _h / 10);
                (double x, double y) = back.Map(px, py);
                sum += Math.Pow(x - i * _w / 10, 2) + Math.Pow(y - j * _h / 10, 2);
            }
        }
        return Math.Sqrt(sum / 121 / 2);
    }
}
