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

    public TemplateRows(ThreadTemplate template, bool oneSidedStep = true)
    {
        int grounds = oneSidedStep ? 4 : 3;
        _columns = [.. Enumerable.Range(0, 2 + grounds).Select(_ => new double[Length])];
        for (int i = 0; i < Length; i++)
        {
            double u = (i - Half) * ThreadStrip.AcrossStepMm;
            double[] ground = ThreadTemplate.Ground(u, oneSidedStep);
            _columns[0][i] = template.At(u);
            _columns[1][i] = -template.SlopeAt(u);
            for (int k = 0; k < grounds; k++) _columns[2 + k][i] = ground[k];
        }
        var all = new double[Length];
        Array.Fill(all, 1);
        double[,] inverse = SmallFit.InverseNormal(_columns, all) ?? throw new InvalidOperationException("The template's columns are not independent.");
        _nominal = inverse[1, 1];
        Whole = Rows(inverse, all, 1);
    }

    public FitRows Whole { get; }

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
