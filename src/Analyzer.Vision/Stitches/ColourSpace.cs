namespace Analyzer.Vision.Stitches;

/// <summary>A colour difference in opponent channels: lightness, red less green, yellow less blue (8-bit photo units).</summary>
internal readonly record struct Colour3(double L, double A, double B)
{
    public double Dot(Colour3 o) => L * o.L + A * o.A + B * o.B;

    public double Norm => Math.Sqrt(Dot(this));

    /// <summary>Cosine of the angle to another direction; 0 where either has none.</summary>
    public double Cosine(Colour3 o) => Dot(o) / Math.Max(1e-9, Norm * o.Norm);

    public static Colour3 operator +(Colour3 p, Colour3 q) => new(p.L + q.L, p.A + q.A, p.B + q.B);

    public static Colour3 operator -(Colour3 p, Colour3 q) => new(p.L - q.L, p.A - q.A, p.B - q.B);

    public static Colour3 operator *(double k, Colour3 p) => new(k * p.L, k * p.A, k * p.B);

    /// <summary>The weights of blue, green and red that give this·v for v in opponent channels.</summary>
    public (double B, double G, double R) AsBgrWeights() => (0.114 * L - B, 0.587 * L - A + 0.5 * B, 0.299 * L + A + 0.5 * B);

    /// <summary>The colour (difference) in blue, green and red: the inverse of <see cref="OfBgr"/>.</summary>
    public (double B, double G, double R) ToBgr()
    {
        // With s = (r + g)/2: b = s - B, and L = 0.114 b + 0.587 (s - A/2) + 0.299 (s + A/2) = s - 0.114 B - 0.144 A.
        double s = L + 0.114 * B + 0.144 * A;
        return (s - B, s - A / 2, s + A / 2);
    }

    /// <summary>Opponent channels of a pixel.</summary>
    public static Colour3 OfBgr(double b, double g, double r) => new(0.114 * b + 0.587 * g + 0.299 * r, r - g, 0.5 * (r + g) - b);
}

/// <summary>Symmetric 3 x 3 covariance of colour differences, with its inverse.</summary>
internal sealed class ColourCovariance
{
    private readonly double[,] _c;
    private readonly double[,] _inverse;

    /// <summary>Lower triangle with L Lᵀ = Σ.</summary>
    private readonly double[] _root;

    private ColourCovariance(double[,] c)
    {
        _c = c;
        // A floor keeps a channel without any noise (a grey photo) from being trusted beyond reason.
        double floor = 1e-3 * (c[0, 0] + c[1, 1] + c[2, 2]) + 1e-6;
        for (int i = 0; i < 3; i++) c[i, i] += floor;
        _inverse = Invert(c);
        double l00 = Math.Sqrt(c[0, 0]), l10 = c[1, 0] / l00, l20 = c[2, 0] / l00;
        double l11 = Math.Sqrt(Math.Max(1e-12, c[1, 1] - l10 * l10)), l21 = (c[2, 1] - l20 * l10) / l11;
        _root = [l00, l10, l11, l20, l21, Math.Sqrt(Math.Max(1e-12, c[2, 2] - l20 * l20 - l21 * l21))];
    }

    /// <summary>L⁻¹v: in this space the noise is 1 in every direction.</summary>
    public Colour3 Whiten(Colour3 v)
    {
        double x = v.L / _root[0], y = (v.A - _root[1] * x) / _root[2];
        return new Colour3(x, y, (v.B - _root[3] * x - _root[4] * y) / _root[5]);
    }

    /// <summary>L w, the inverse of <see cref="Whiten"/>.</summary>
    public Colour3 Unwhiten(Colour3 w) => new(_root[0] * w.L, _root[1] * w.L + _root[2] * w.A, _root[3] * w.L + _root[4] * w.A + _root[5] * w.B);

    /// <summary>The same noise in all channels, none hanging together.</summary>
    public static ColourCovariance Unit => new(new double[,] { { 1, 0, 0 }, { 0, 1, 0 }, { 0, 0, 1 } });

    /// <summary>Robust covariance about zero: far values are left out step by step.</summary>
    public static ColourCovariance Robust(IReadOnlyList<Colour3> values)
    {
        var current = new ColourCovariance(Moment(values, _ => true, 1));
        for (int round = 0; round < 6; round++)
        {
            ColourCovariance last = current;
            // Within Mahalanobis distance 2.5 a Gaussian in three dimensions keeps 0.664 of its variance.
            current = new ColourCovariance(Moment(values, v => last.SquaredDistance(v) < 6.25, 1 / 0.664));
        }
        return current;
    }

    /// <summary>Standard deviation that colour keeps at least, levels of 255: a JPEG's steps in colour. From comparison with known truth at several qualities, and with hand-marked real photos.</summary>
    private const double ColourStep = 1;

    /// <summary>The same noise with the two colour channels never surer than a JPEG's steps, for finding places to a part of a pixel.</summary>
    /// <remarks>
    /// A JPEG keeps colour at half the resolution and in coarse steps. Plain ground shows nothing of that: its colour noise is rounded away. Along a thread it is
    /// there, and a direction that trusts the ground's colour noise follows blocks of eight pixels instead of the thread.
    /// </remarks>
    public ColourCovariance WithColourInSteps()
    {
        var c = (double[,])_c.Clone();
        c[1, 1] = Math.Max(c[1, 1], ColourStep * ColourStep);
        c[2, 2] = Math.Max(c[2, 2], ColourStep * ColourStep);
        return new ColourCovariance(c);
    }

    public static ColourCovariance Mean(IEnumerable<ColourCovariance> all)
    {
        var sum = new double[3, 3];
        int n = 0;
        foreach (ColourCovariance one in all)
        {
            n++;
            for (int i = 0; i < 3; i++)
                for (int j = 0; j < 3; j++) sum[i, j] += one._c[i, j];
        }
        for (int i = 0; i < 3; i++)
            for (int j = 0; j < 3; j++) sum[i, j] /= n;
        return new ColourCovariance(sum);
    }

    /// <summary>Σ⁻¹ v.</summary>
    public Colour3 Solve(Colour3 v) => new(
        _inverse[0, 0] * v.L + _inverse[0, 1] * v.A + _inverse[0, 2] * v.B,
        _inverse[1, 0] * v.L + _inverse[1, 1] * v.A + _inverse[1, 2] * v.B,
        _inverse[2, 0] * v.L + _inverse[2, 1] * v.A + _inverse[2, 2] * v.B);

    public double SquaredDistance(Colour3 v) => v.Dot(Solve(v));

    /// <summary>The direction q with q·d greatest for noise of unit variance: Σ⁻¹d / √(dᵀΣ⁻¹d).</summary>
    public Colour3 Discriminant(Colour3 d)
    {
        Colour3 q = Solve(d);
        return 1 / Math.Sqrt(Math.Max(1e-12, d.Dot(q))) * q;
    }

    /// <summary>The same, for noise that also varies along the given directions (the other look-alikes).</summary>
    public Colour3 Discriminant(Colour3 d, IEnumerable<Colour3> nuisances, double strength)
    {
        Colour3 q = With(nuisances, strength).Solve(d);
        double noise = q.L * (_c[0, 0] * q.L + _c[0, 1] * q.A + _c[0, 2] * q.B) + q.A * (_c[1, 0] * q.L + _c[1, 1] * q.A + _c[1, 2] * q.B)
            + q.B * (_c[2, 0] * q.L + _c[2, 1] * q.A + _c[2, 2] * q.B);
        return 1 / Math.Sqrt(Math.Max(1e-12, noise)) * q;
    }

    /// <summary>Noise that also varies along the given directions, by so many times their length.</summary>
    public ColourCovariance With(IEnumerable<Colour3> nuisances, double strength)
    {
        var c = (double[,])_c.Clone();
        foreach (Colour3 n in nuisances)
        {
            double[] v = [n.L, n.A, n.B];
            double scale = strength * strength;
            for (int i = 0; i < 3; i++)
                for (int j = 0; j < 3; j++) c[i, j] += scale * v[i] * v[j];
        }
        return new ColourCovariance(c);
    }

    private static double[,] Moment(IReadOnlyList<Colour3> values, Func<Colour3, bool> keep, double scale)
    {
        var c = new double[3, 3];
        int n = 0;
        foreach (Colour3 v in values)
        {
            if (!keep(v)) continue;
            n++;
            c[0, 0] += v.L * v.L;
            c[0, 1] += v.L * v.A;
            c[0, 2] += v.L * v.B;
            c[1, 1] += v.A * v.A;
            c[1, 2] += v.A * v.B;
            c[2, 2] += v.B * v.B;
        }
        double k = scale / Math.Max(1, n);
        for (int i = 0; i < 3; i++)
            for (int j = i; j < 3; j++) c[j, i] = c[i, j] *= k;
        return c;
    }

    private static double[,] Invert(double[,] m)
    {
        double a = m[0, 0], b = m[0, 1], c = m[0, 2], d = m[1, 1], e = m[1, 2], f = m[2, 2];
        double det = a * (d * f - e * e) - b * (b * f - c * e) + c * (b * e - c * d);
        double k = 1 / det;
        return new[,]
        {
            { k * (d * f - e * e), k * (c * e - b * f), k * (b * e - c * d) },
            { k * (c * e - b * f), k * (a * f - c * c), k * (b * c - a * e) },
            { k * (b * e - c * d), k * (b * c - a * e), k * (a * d - b * b) },
        };
    }
}
