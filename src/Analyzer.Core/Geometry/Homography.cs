namespace Analyzer.Core.Geometry;

/// <summary>A plane projective map as a 3x3 matrix, row by row, with the last entry 1 where it can be.</summary>
/// <remarks>Names are targetFromSource: blockFromPhoto.Map(x, y) takes photo pixels to block millimetres.</remarks>
public sealed class Homography
{
    private readonly double[] _m;

    public Homography(double[] rows)
    {
        if (rows.Length != 9) throw new ArgumentException("A homography has nine entries.", nameof(rows));
        double scale = Math.Abs(rows[8]) > 1e-300 ? 1 / rows[8] : 1;
        _m = [.. rows.Select(v => v * scale)];
    }

    public IReadOnlyList<double> Rows => _m;

    public (double X, double Y) Map(double x, double y)
    {
        double w = _m[6] * x + _m[7] * y + _m[8];
        return ((_m[0] * x + _m[1] * y + _m[2]) / w, (_m[3] * x + _m[4] * y + _m[5]) / w);
    }

    /// <summary>Derivatives of the map at a point: dX/dx, dX/dy, dY/dx, dY/dy.</summary>
    public (double Xx, double Xy, double Yx, double Yy) Jacobian(double x, double y)
    {
        double w = _m[6] * x + _m[7] * y + _m[8];
        (double mx, double my) = Map(x, y);
        return ((_m[0] - mx * _m[6]) / w, (_m[1] - mx * _m[7]) / w, (_m[3] - my * _m[6]) / w, (_m[4] - my * _m[7]) / w);
    }

    public Homography Inverse()
    {
        double[] m = _m;
        return new Homography(
        [
            m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
            m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
            m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3],
        ]);
    }

    /// <summary>This map after another: (a.After(b)).Map(p) = a.Map(b.Map(p)).</summary>
    public Homography After(Homography first)
    {
        var product = new double[9];
        for (int r = 0; r < 3; r++)
            for (int c = 0; c < 3; c++)
                for (int k = 0; k < 3; k++)
                    product[r * 3 + c] += _m[r * 3 + k] * first._m[k * 3 + c];
        return new Homography(product);
    }

    /// <summary>The exact map of four points onto four points (direct linear transform, eight equations in eight unknowns).</summary>
    /// <exception cref="ArgumentException">Three of the points lie on one line.</exception>
    public static Homography FromFourPoints(IReadOnlyList<(double X, double Y)> source, IReadOnlyList<(double X, double Y)> target)
    {
        if (source.Count != 4 || target.Count != 4) throw new ArgumentException("Exactly four points are needed on each side.");
        (Homography toUnitSource, (double X, double Y)[] s) = Normalised(source);
        (Homography toUnitTarget, (double X, double Y)[] t) = Normalised(target);
        if (HasThreeOnOneLine(s) || HasThreeOnOneLine(t)) throw new ArgumentException("Three of the four points lie on one line.");
        var a = new double[8, 9];
        for (int i = 0; i < 4; i++)
        {
            SetRow(a, 2 * i, s[i].X, s[i].Y, 1, 0, 0, 0, -t[i].X * s[i].X, -t[i].X * s[i].Y, t[i].X);
            SetRow(a, 2 * i + 1, 0, 0, 0, s[i].X, s[i].Y, 1, -t[i].Y * s[i].X, -t[i].Y * s[i].Y, t[i].Y);
        }
        double[] h = Solve(a);
        var unit = new Homography([.. h, 1]);
        return toUnitTarget.Inverse().After(unit).After(toUnitSource);
    }

    /// <summary>True where some triangle of three normalised points has no area.</summary>
    private static bool HasThreeOnOneLine((double X, double Y)[] p)
    {
        for (int skip = 0; skip < 4; skip++)
        {
            (double X, double Y) a = p[(skip + 1) % 4], b = p[(skip + 2) % 4], c = p[(skip + 3) % 4];
            if (Math.Abs((b.X - a.X) * (c.Y - a.Y) - (b.Y - a.Y) * (c.X - a.X)) < 1e-9) return true;
        }
        return false;
    }

    private static void SetRow(double[,] a, int row, params double[] values)
    {
        for (int c = 0; c < values.Length; c++) a[row, c] = values[c];
    }

    private static (Homography, (double X, double Y)[]) Normalised(IReadOnlyList<(double X, double Y)> points)
    {
        double cx = points.Average(p => p.X), cy = points.Average(p => p.Y);
        double size = points.Average(p => Math.Sqrt((p.X - cx) * (p.X - cx) + (p.Y - cy) * (p.Y - cy)));
        if (!(size > 0)) throw new ArgumentException("The four points are all the same.");
        double k = Math.Sqrt(2) / size;
        return (new Homography([k, 0, -k * cx, 0, k, -k * cy, 0, 0, 1]), [.. points.Select(p => (k * (p.X - cx), k * (p.Y - cy)))]);
    }

    /// <summary>Gauss elimination with partial pivoting on an n x (n+1) system.</summary>
    private static double[] Solve(double[,] a)
    {
        int n = a.GetLength(0);
        for (int c = 0; c < n; c++)
        {
            int pivot = c;
            for (int r = c + 1; r < n; r++)
                if (Math.Abs(a[r, c]) > Math.Abs(a[pivot, c])) pivot = r;
            if (Math.Abs(a[pivot, c]) < 1e-12) throw new ArgumentException("Three of the four points lie on one line.");
            for (int k = 0; k <= n; k++) (a[c, k], a[pivot, k]) = (a[pivot, k], a[c, k]);
            for (int r = 0; r < n; r++)
            {
                if (r == c) continue;
                double f = a[r, c] / a[c, c];
                for (int k = c; k <= n; k++) a[r, k] -= f * a[c, k];
            }
        }
        var x = new double[n];
        for (int r = 0; r < n; r++) x[r] = a[r, n] / a[r, r];
        return x;
    }
}
