using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;
using OpenCvSharp;

namespace Analyzer.Vision.Marks;

/// <summary>
/// The cloth on both sides of one traced thread, straightened along the thread and averaged over short pieces of it: row i is the piece about
/// <see cref="AlongMm"/>[i], column j lies (j - Middle)·AcrossStepMm beside the thread. Pieces under crossing lines are left out.
/// </summary>
internal sealed class MarkStrip
{
    public const double RowMm = 2, AcrossStepMm = 1.0 / 12, HalfWidthMm = 5;

    public const int Middle = (int)(HalfWidthMm / AcrossStepMm), Across = 2 * Middle + 1;

    private const int Fine = 8;

    private MarkStrip(TracedLine line, double[] along, double[] thread, MarkRow[] rows) =>
        (Line, AlongMm, ThreadMm, Rows) = (line, along, thread, rows);

    public TracedLine Line { get; }

    public double[] AlongMm { get; }

    /// <summary>The thread's own deviation from the intended line at each row, mm.</summary>
    public double[] ThreadMm { get; }

    public MarkRow[] Rows { get; }

    public static MarkStrip Cut(Mat photo, BlockPlane plane, IntendedGrid grid, TracedLine traced, IReadOnlyList<TracedLine> all)
    {
        LineFamily family = grid.Families[traced.Line.Family];
        List<double> along = [], thread = [];
        for (double s = RowMm / 2 + 1; s < traced.Line.LengthMm - RowMm / 2 - 1; s += RowMm)
        {
            if (traced.AlongMm.Length < 2 || s < traced.AlongMm[0] || s > traced.AlongMm[^1]) continue;
            along.Add(s);
            thread.Add(At(traced, s));
        }
        (double At, double Reach)[] masks = Masks(grid, traced, all);
        int[] keep = [.. Enumerable.Range(0, along.Count).Where(i => masks.All(m => Math.Abs(m.At - along[i]) > m.Reach))];
        double[] places = [.. keep.Select(i => along[i])], deviations = [.. keep.Select(i => thread[i])];
        return new MarkStrip(traced, places, deviations, Sample(photo, plane, family, traced, places));
    }

    /// <summary>The thread's deviation between its samples, mm.</summary>
    public static double At(TracedLine line, double alongMm)
    {
        int i = Array.BinarySearch(line.AlongMm, alongMm);
        if (i >= 0) return line.DeviationMm[i];
        i = Math.Clamp(~i - 1, 0, line.AlongMm.Length - 2);
        double t = (alongMm - line.AlongMm[i]) / (line.AlongMm[i + 1] - line.AlongMm[i]);
        return line.DeviationMm[i] + t * (line.DeviationMm[i + 1] - line.DeviationMm[i]);
    }

    /// <summary>Where other lines cross, and how far along this line their thread and marks may reach into the strip's middle.</summary>
    private static (double At, double Reach)[] Masks(IntendedGrid grid, TracedLine traced, IReadOnlyList<TracedLine> all)
    {
        const double widestMarkMm = 1.2, middleMm = 1.2;
        LineFamily family = grid.Families[traced.Line.Family];
        var masks = new List<(double, double)>();
        foreach (TracedLine other in all)
        {
            if (other.Line.Family == traced.Line.Family) continue;
            LineFamily second = grid.Families[other.Line.Family];
            double sin = Math.Abs(second.AcrossX * family.AlongX + second.AcrossY * family.AlongY), cos = Math.Abs(second.AlongX * family.AlongX + second.AlongY * family.AlongY);
            double target = second.AcrossOfLine(other.Line.Index);
            double at = (target - second.Across(traced.Line.From)) / (second.AcrossX * family.AlongX + second.AcrossY * family.AlongY);
            if (at < -5 || at > traced.Line.LengthMm + 5) continue;
            masks.Add((at, (widestMarkMm + middleMm * cos) / Math.Max(0.2, sin)));
        }
        return [.. masks];
    }

    private static MarkRow[] Sample(Mat photo, BlockPlane plane, LineFamily family, TracedLine traced, double[] places)
    {
        if (places.Length == 0) return [];
        var pixels = new BgrPixels(photo);
        var bgr = new byte[3 * Across];
        var sum = new int[3 * Across];
        var rows = new MarkRow[places.Length];
        for (int i = 0; i < places.Length; i++)
        {
            Array.Clear(sum);
            for (int k = 0; k < Fine; k++)
            {
                double s = places[i] + ((k + 0.5) / Fine - 0.5) * RowMm, first = At(traced, s) - Middle * AcrossStepMm;
                var from = new BlockPoint(traced.Line.From.Xmm + family.AlongX * s + family.AcrossX * first, traced.Line.From.Ymm + family.AlongY * s + family.AcrossY * first);
                plane.Row(from, family.AcrossX * AcrossStepMm, family.AcrossY * AcrossStepMm).Read(pixels, bgr);
                for (int j = 0; j < bgr.Length; j++) sum[j] += bgr[j];
            }
            rows[i] = new MarkRow();
            for (int j = 0; j < Across; j++) rows[i].Set(j, Colour3.OfBgr(sum[3 * j] / (double)Fine, sum[3 * j + 1] / (double)Fine, sum[3 * j + 2] / (double)Fine));
        }
        return rows;
    }
}

/// <summary>Opponent colours across one piece of a strip, channel by channel, each filled up with zeros to a whole number of the widest registers.</summary>
internal sealed class MarkRow
{
    public const int Padded = (MarkStrip.Across + 15) / 16 * 16;

    public float[] L { get; } = new float[Padded];

    public float[] A { get; } = new float[Padded];

    public float[] B { get; } = new float[Padded];

    public Colour3 this[int j] => new(L[j], A[j], B[j]);

    public void Set(int j, Colour3 colour) => (L[j], A[j], B[j]) = ((float)colour.L, (float)colour.A, (float)colour.B);
}
