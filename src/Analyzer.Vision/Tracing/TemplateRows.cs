using System.Collections.Concurrent;
using System.Numerics;

namespace Analyzer.Vision.Tracing;

/// <summary>What turns a profile into height and shift: one row of weights each.</summary>
/// <param name="Weight">1 where the whole profile is seen, less where the shift is less well known because a part is hidden.</param>
internal sealed record FitRows(float[] Height, float[] Shift, double Weight)
{
    /// <param name="entries">The profile's entries and what follows them in memory, one more than a padded row: what is past the profile has no weight.</param>
    /// <param name="part">How far the profile's first place lies past the first entry, as a share of a step.</param>
    public (double Height, double Shift) Apply(ReadOnlySpan<float> entries, float part)
    {
        Vector<float> h = Vector<float>.Zero, s = Vector<float>.Zero;
        float rest = 1 - part;
        for (int j = 0; j < TemplateRows.Used; j += Vector<float>.Count)
        {
            Vector<float> p = rest * new Vector<float>(entries[j..]) + part * new Vector<float>(entries[(j + 1)..]);
            h += new Vector<float>(Height, j) * p;
            s += new Vector<float>(Shift, j) * p;
        }
        return (Vector.Sum(h), Vector.Sum(s));
    }
}

/// <summary>The least-squares fit of one template to a profile, solved once for every pattern of hidden places that comes up.</summary>
internal sealed class TemplateRows
{
    /// <summary>Places on either side of the middle.</summary>
    public const int Half = (int)(ThreadTemplate.WindowMm / ThreadStrip.AcrossStepMm + 0.5);

    public const int Length = 2 * Half + 1;

    /// <summary>Length of a row of weights, filled up with zeros to a whole number of the widest registers.</summary>
    public const int Padded = (Length + 15) / 16 * 16;

    /// <summary>So much of a padded row is used with this machine's registers.</summary>
    public static readonly int Used = (Length + Vector<float>.Count - 1) / Vector<float>.Count * Vector<float>.Count;

    /// <summary>Places about the middle of which more than half must be seen.</summary>
    private const int Core = 4;

    private readonly double[][] _columns;
    private readonly double _nominal;
    private readonly ConcurrentDictionary<ulong, FitRows?> _partial = new();

    /// <summary>The thread on a ground of level, slope, one-sided shadow and dip.</summary>
    /// <param name="oneSidedStep">Whether the one-sided shadow has a column.</param>
    public TemplateRows(ThreadTemplate template, bool oneSidedStep = true) : this(Columns(template.At, template.SlopeAt, u => ThreadTemplate.Ground(u, oneSidedStep))) { }

    /// <summary>A whole furrow on a ground of level and slope.</summary>
    public TemplateRows(FurrowProfile furrow) : this(Columns(furrow)) { }

    private TemplateRows(double[][] columns)
    {
        _columns = columns;
        _basis = new Lazy<float[][]>(Basis);
        var all = new double[Length];
        Array.Fill(all, 1);
        double[,] inverse = SmallFit.InverseNormal(_columns, all) ?? throw new InvalidOperationException("The template's columns are not independent.");
        _nominal = inverse[1, 1];
        Whole = Rows(inverse, all, 1);
    }

    public FitRows Whole { get; }

    /// <summary>The columns made orthonormal: what they take up of a profile is the sum of the squared products.</summary>
    private readonly Lazy<float[][]> _basis;

    /// <summary>Mean square of what the fit leaves of a wholly seen profile.</summary>
    public double Left(ReadOnlySpan<float> profile)
    {
        double left = Product(profile, profile);
        foreach (float[] q in _basis.Value)
        {
            double c = Product(q, profile);
            left -= c * c;
        }
        return Math.Max(0, left) / (Length - _columns.Length);
    }

    private static double Product(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
    {
        Vector<float> sum = Vector<float>.Zero;
        for (int j = 0; j < Padded; j += Vector<float>.Count) sum += new Vector<float>(a[j..]) * new Vector<float>(b[j..]);
        return Vector.Sum(sum);
    }

    private float[][] Basis()
    {
        var basis = new List<double[]>();
        foreach (double[] column in _columns)
        {
            double[] q = [.. column];
            foreach (double[] b in basis)
            {
                double dot = q.Zip(b, (x, y) => x * y).Sum();
                for (int i = 0; i < q.Length; i++) q[i] -= dot * b[i];
            }
            double norm = Math.Sqrt(q.Sum(x => x * x));
            if (norm > 1e-9) basis.Add([.. q.Select(x => x / norm)]);
        }
        return [.. basis.Select(b => (float[])[.. b.Select(x => (float)x), .. new float[Padded - Length]])];
    }

    private static double[][] Columns(Func<double, double> shape, Func<double, double> slope, Func<double, double[]> ground)
    {
        double[][] rows = [.. Enumerable.Range(-Half, Length).Select(i => i * ThreadStrip.AcrossStepMm).Select(u => (double[])[shape(u), -slope(u), .. ground(u)])];
        return [.. Enumerable.Range(0, rows[0].Length).Select(k => (double[])[.. rows.Select(r => r[k])])];
    }

    private static double[][] Columns(FurrowProfile furrow)
    {
        (double[] shape, double[] slope) = furrow.Columns();
        return [shape, [.. slope.Select(s => -s)], [.. shape.Select(_ => 1.0)], [.. Enumerable.Range(-Half, Length).Select(i => i * ThreadStrip.AcrossStepMm)]];
    }

    /// <summary>The fit without the hidden places (a bit each), or null where too little is left.</summary>
    public FitRows? Without(ulong hidden) => hidden == 0 ? Whole : _partial.GetOrAdd(hidden, Partial);

    private FitRows? Partial(ulong hidden)
    {
        var seen = new double[Length];
        int core = 0;
        for (int j = 0; j < Length; j++)
        {
            seen[j] = (hidden >> j & 1) == 0 ? 1 : 0;
            if (Math.Abs(j - Half) <= Core && seen[j] > 0) core++;
        }
        if (core < (2 * Core + 1) * 0.55 || SmallFit.InverseNormal(_columns, seen) is not { } inverse || inverse[1, 1] > 6 * _nominal) return null;
        return Rows(inverse, seen, _nominal / inverse[1, 1]);
    }

    private FitRows Rows(double[,] inverse, double[] seen, double weight)
    {
        return new FitRows(Row(0), Row(1), weight);

        float[] Row(int row)
        {
            var result = new float[Padded];
            for (int j = 0; j < Length; j++)
            {
                double sum = 0;
                for (int k = 0; k < _columns.Length; k++) sum += inverse[row, k] * _columns[k][j];
                result[j] = (float)(seen[j] * sum);
            }
            return result;
        }
    }
}
