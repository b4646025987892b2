using System.Numerics;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Marks;

/// <summary>
/// Answers of one row of a <see cref="MarkStrip"/> to a band of the given width at every place beside the thread: the band's height after the ground
/// (level, slope) and the thread with its halo (profile, shift, spread, and colour blurred by compression) have been fitted along with it.
/// </summary>
internal sealed class MarkFilter
{
    /// <summary>Marks are looked for this near the thread; farther out, where no mark of this line can be, the same filter tells what chance and print do.</summary>
    public const double StepMm = 0.1, ReachMm = 2.2, OutsideFromMm = 2.4, OutsideMm = 4.2;

    /// <summary>Places looked at on each side of the thread.</summary>
    public const int Half = 42, Count = 2 * Half + 1;

    /// <summary>Place by place the weights across, each filled up to a padded row.</summary>
    private readonly float[] _bands;

    /// <param name="widthMm">Width of the drawn band.</param>
    /// <param name="threadWidthMm">Width of the thread.</param>
    /// <param name="pixelsPerMm">Resolution of the photo: a file's colour is mostly kept at half of it, so that the thread's hue spills over.</param>
    /// <param name="withShade">Fit a one-sided shade and the furrow's dip too: for marks that differ from the cloth by brightness only.</param>
    /// <param name="withHalo">Fit the thread's halo too; not needed in a view that is blind to the thread's hue.</param>
    public MarkFilter(double widthMm, double threadWidthMm, double pixelsPerMm, bool withShade, bool withHalo = true)
    {
        WidthMm = widthMm;
        double[] u = [.. Enumerable.Range(0, MarkStrip.Across).Select(j => (j - MarkStrip.Middle) * MarkStrip.AcrossStepMm)];
        double edgeMm = Math.Sqrt(0.1 * 0.1 + 0.36 / (pixelsPerMm * pixelsPerMm));
        double haloMm = Math.Sqrt(threadWidthMm * threadWidthMm / 12 + 1 / (pixelsPerMm * pixelsPerMm) + 0.05 * 0.05);
        List<Func<double, double>> others =
        [
            _ => 1, x => x, x => x * x, x => x * x * x, x => ThreadTemplate.Bar(x, threadWidthMm, edgeMm),
            x => ThreadTemplate.Bar(x + 0.02, threadWidthMm, edgeMm) - ThreadTemplate.Bar(x - 0.02, threadWidthMm, edgeMm),
        ];
        if (withHalo) others.AddRange([x => Gaussian(x, haloMm), x => x * Gaussian(x, haloMm)]);
        if (withShade) others.AddRange([x => Math.Tanh(x / ThreadTemplate.ShadowScaleMm), x => Math.Tanh(x / 1.2), x => Gaussian(x, 1.0)]);
        var basis = new List<double[]>();
        foreach (Func<double, double> f in others)
        {
            double[] v = [.. u.Select(f)];
            if (Normalise(Without(v, basis)) is { } unit) basis.Add(unit);
        }
        _bands = new float[Count * MarkRow.Padded];
        Information = new double[Count];
        var whole = new double[Count];
        Parallel.For(0, Count, k =>
        {
            double place = (k - Half) * StepMm;
            double[] plain = [.. u.Select(x => ThreadTemplate.Bar(x - place, widthMm, edgeMm))];
            double[] band = Without(plain, basis);
            double squares = band.Sum(b => b * b);
            whole[k] = plain.Sum(b => b * b);
            Information[k] = squares;
            for (int j = 0; j < band.Length; j++) _bands[k * MarkRow.Padded + j] = (float)(band[j] / Math.Max(1e-9, squares));
        });
        double full = whole.Max();
        // What is nearly all taken by the thread's own columns says nothing.
        for (int k = 0; k < Count; k++) IsUsable[k] = Information[k] > 0.06 * full;
    }

    public double WidthMm { get; }

    /// <summary>How much of the band the other columns leave, at each place: the height's variance goes with its inverse.</summary>
    public double[] Information { get; }

    public bool[] IsUsable { get; } = new bool[Count];

    /// <summary>Heights of the band at every place of one row.</summary>
    public void Heights(MarkRow row, Span<Colour3> heights)
    {
        for (int place = 0; place < Count; place++)
        {
            ReadOnlySpan<float> band = _bands.AsSpan(place * MarkRow.Padded, MarkRow.Padded);
            Vector<float> l = Vector<float>.Zero, a = l, b = l;
            for (int j = 0; j < MarkRow.Padded; j += Vector<float>.Count)
            {
                var weight = new Vector<float>(band[j..]);
                l += weight * new Vector<float>(row.L, j);
                a += weight * new Vector<float>(row.A, j);
                b += weight * new Vector<float>(row.B, j);
            }
            heights[place] = new Colour3(Vector.Sum(l), Vector.Sum(a), Vector.Sum(b));
        }
    }

    private static double Gaussian(double x, double sd) => Math.Exp(-0.5 * x * x / (sd * sd));

    private static double[] Without(double[] v, List<double[]> basis)
    {
        double[] rest = [.. v];
        // Twice, so that rounding does not leave a trace of the others.
        for (int pass = 0; pass < 2; pass++)
            foreach (double[] b in basis)
            {
                double dot = 0;
                for (int i = 0; i < rest.Length; i++) dot += rest[i] * b[i];
                for (int i = 0; i < rest.Length; i++) rest[i] -= dot * b[i];
            }
        return rest;
    }

    private static double[]? Normalise(double[] v)
    {
        double norm = Math.Sqrt(v.Sum(x => x * x));
        return norm < 1e-6 ? null : [.. v.Select(x => x / norm)];
    }
}
