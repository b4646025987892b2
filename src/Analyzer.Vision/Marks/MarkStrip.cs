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

    private MarkStrip(TracedLine line, double[] along, double[] thread, Colour3[][] rows) =>
        (Line, AlongMm, ThreadMm, Rows) = (line, along, thread, rows);

    public TracedLine Line { get; }

    public double[] AlongMm { get; }

    /// <summary>The thread's own deviation from the intended line at each row, mm.</summary>
    public double[] ThreadMm { get; }

    /// <summary>Opponent colours across, one array a row.</summary>
    public Colour3[][] Rows { get; }

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

    private static Colour3[][] Sample(Mat photo, BlockPlane plane, LineFamily family, TracedLine traced, double[] places)
    {
        if (places.Length == 0) return [];
        using var map = new Mat(places.Length * Fine, Across, MatType.CV_32FC2);
        Homography h = plane.PhotoFromBlock;
        var line = new float[2 * Across];
        for (int i = 0; i < places.Length; i++)
            for (int k = 0; k < Fine; k++)
            {
                double s = places[i] + ((k + 0.5) / Fine - 0.5) * RowMm, deviation = At(traced, s);
                BlockPoint foot = new(traced.Line.From.Xmm + family.AlongX * s, traced.Line.From.Ymm + family.AlongY * s);
                for (int j = 0; j < Across; j++)
                {
                    double u = deviation + (j - Middle) * AcrossStepMm;
                    (double x, double y) = h.Map(foot.Xmm + family.AcrossX * u, foot.Ymm + family.AcrossY * u);
                    (line[2 * j], line[2 * j + 1]) = ((float)x, (float)y);
                }
                System.Runtime.InteropServices.Marshal.Copy(line, 0, map.Ptr(i * Fine + k), line.Length);
            }
        using var strip = new Mat();
        using var none = new Mat();
        Cv2.Remap(photo, strip, map, none, InterpolationFlags.Linear, BorderTypes.Replicate);
        var bgr = new byte[places.Length * Fine * Across * 3];
        System.Runtime.InteropServices.Marshal.Copy(strip.Data, bgr, 0, bgr.Length);
        var rows = new Colour3[places.Length][];
        for (int i = 0; i < places.Length; i++)
        {
            rows[i] = new Colour3[Across];
            for (int j = 0; j < Across; j++)
            {
                double b = 0, g = 0, r = 0;
                for (int k = 0; k < Fine; k++)
                {
                    int at = ((i * Fine + k) * Across + j) * 3;
                    b += bgr[at];
                    g += bgr[at + 1];
                    r += bgr[at + 2];
                }
                rows[i][j] = Colour3.OfBgr(b / Fine, g / Fine, r / Fine);
            }
        }
        return rows;
    }
}
