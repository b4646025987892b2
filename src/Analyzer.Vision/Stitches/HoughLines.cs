using System.Numerics;

namespace Analyzer.Vision.Stitches;

/// <summary>A straight line seen by the Hough transform, in its family's frame.</summary>
/// <param name="AcrossMm">n·p where the line crosses u·p = <paramref name="MidAlongMm"/>, mm.</param>
/// <param name="Slope">Growth of n·p per u·p.</param>
/// <param name="Strength">Height of the peak in noise units of the accumulator.</param>
/// <param name="LengthMm">Length inside the block, mm.</param>
internal sealed record HoughLine(double AcrossMm, double MidAlongMm, double Slope, double Strength, double LengthMm)
{
    public double AcrossAt(double alongMm) => AcrossMm + Slope * (alongMm - MidAlongMm);
}

/// <summary>Hough transform with a narrow angle window about one family's direction.</summary>
/// <remarks>
/// Duda and Hart, CACM 15(1), 1972: every place votes for all lines through it; here rho is the height across the family and theta its small turn, and votes
/// are weighed by evidence. A cell's sum is divided by the root of its number of places, so that short corner lines compete fairly.
/// </remarks>
internal static class HoughLines
{
    public const double HalfWindowDeg = 3, StepDeg = 0.2;

    /// <summary>Slope of a line at the window's end.</summary>
    public static double SteepestSlope { get; } = Math.Tan(HalfWindowDeg * Math.PI / 180);

    /// <summary>Two peaks closer than this, averaged along the line, are one line, mm.</summary>
    public const double SameLineMm = 1.6;

    /// <summary>Peaks above the given strength, strongest first, each at least <see cref="SameLineMm"/> from the ones before.</summary>
    public static List<HoughLine> Find(ScoreMap map, double leastStrength)
    {
        FamilyEvidence e = map.Columns.Evidence;
        int angles = 2 * (int)Math.Round(HalfWindowDeg / StepDeg) + 1;
        double mid = (map.Columns.Cols - 1) / 2.0;
        var value = new float[angles][];
        var count = new int[angles][];
        Parallel.For(0, angles, a => (value[a], count[a]) = Accumulate(map, SlopeOf(a, angles), mid));
        (double median, double spread) = Level(value, count);
        var peaks = new List<HoughLine>();
        double midAlong = e.AlongStartMm + mid * map.Columns.ColumnMm;
        for (int a = 0; a < angles; a++)
            for (int row = 1; row + 1 < e.Rows; row++)
            {
                float v = value[a][row];
                if (count[a][row] < 5 || (v - median) / spread < leastStrength || !IsPeak(value, a, row)) continue;
                double top = Vertex(value[a][row - 1], v, value[a][row + 1]);
                double slope = SlopeOf(a, angles);
                if (a > 0 && a + 1 < angles)
                    slope += Vertex(value[a - 1][row], v, value[a + 1][row]) * StepDeg * Math.PI / 180;
                peaks.Add(new HoughLine(e.AcrossStartMm + (row + top) / e.PixelsPerMm, midAlong, slope, (v - median) / spread, count[a][row] * map.Columns.ColumnMm));
            }
        peaks.Sort((p, q) => q.Strength.CompareTo(p.Strength));
        return Thin(e, peaks);
    }

    private static double SlopeOf(int angle, int angles) => Math.Tan((angle - angles / 2) * StepDeg * Math.PI / 180);

    private static List<HoughLine> Thin(FamilyEvidence e, IEnumerable<HoughLine> sorted)
    {
        var kept = new List<(HoughLine Line, double From, double To)>();
        foreach (HoughLine line in sorted)
        {
            (double from, double to) = Extent(e, line);
            if (to <= from) continue;
            if (!kept.Any(k => Gap(k.Line, line, Math.Max(k.From, from), Math.Min(k.To, to)) < SameLineMm)) kept.Add((line with { LengthMm = to - from }, from, to));
        }
        return [.. kept.Select(k => k.Line)];
    }

    /// <summary>Mean distance of two lines over their common stretch.</summary>
    private static double Gap(HoughLine a, HoughLine b, double from, double to)
    {
        if (to <= from) return double.PositiveInfinity;
        double start = a.AcrossAt(from) - b.AcrossAt(from), end = a.AcrossAt(to) - b.AcrossAt(to);
        return start * end >= 0
            ? Math.Abs(start + end) / 2
            : (start * start + end * end) / (2 * (Math.Abs(start) + Math.Abs(end)));
    }

    /// <summary>u·p where a nearly straight line enters and leaves the block.</summary>
    public static (double From, double To) Extent(FamilyEvidence e, HoughLine line) => BlockSpan.OfLine(e.Family, e.Size, line.AcrossMm, line.MidAlongMm, line.Slope);

    /// <summary>Sums along all parallel lines of one slope: every column is added whole, moved by what the slope asks.</summary>
    private static (float[] Value, int[] Count) Accumulate(ScoreMap map, double slope, double mid)
    {
        ScoreColumns columns = map.Columns;
        int rows = columns.Evidence.Rows;
        var sum = new float[rows];
        var count = new int[rows + 1];
        double rowsAColumn = slope * columns.ColumnMm * columns.Evidence.PixelsPerMm;
        for (int col = 0; col < columns.Cols; col++)
        {
            int shift = (int)Math.Round(rowsAColumn * (col - mid));
            int from = columns.First[col] - shift, skip = Math.Max(0, -from);
            int length = Math.Min(columns.Count(col) - skip, rows - from - skip);
            if (length <= 0) continue;
            AddTo(map.Score.AsSpan(columns.Start[col] + skip, length), sum.AsSpan(from + skip, length));
            count[from + skip]++;
            count[from + skip + length]--;
        }
        // Only where columns begin and end was counted so far.
        for (int row = 1; row < rows; row++) count[row] += count[row - 1];
        for (int row = 0; row < rows; row++)
            if (count[row] > 0) sum[row] /= MathF.Sqrt(count[row]);
        return (sum, count);
    }

    private static void AddTo(ReadOnlySpan<float> more, Span<float> sum)
    {
        int wide = Vector<float>.Count, i = 0;
        for (; i + wide <= sum.Length; i += wide)
            (new Vector<float>(sum[i..]) + new Vector<float>(more[i..])).CopyTo(sum[i..]);
        for (; i < sum.Length; i++) sum[i] += more[i];
    }

    private static (double Median, double Spread) Level(float[][] value, int[][] count)
    {
        var all = new List<float>();
        for (int a = 0; a < value.Length; a += 3)
            for (int row = 0; row < value[a].Length; row += 2)
                if (count[a][row] >= 8) all.Add(value[a][row]);
        if (all.Count < 10) return (0, 1);
        all.Sort();
        double median = all[all.Count / 2];
        // The lower half holds no lines: its quartile distance gives the spread of pure chance.
        double spread = (median - all[all.Count / 4]) / 0.6745;
        return (median, Math.Max(spread, 0.3));
    }

    private static bool IsPeak(float[][] value, int a, int row)
    {
        float v = value[a][row];
        for (int da = -1; da <= 1; da++)
            for (int dr = -1; dr <= 1; dr++)
            {
                if ((da == 0 && dr == 0) || a + da < 0 || a + da >= value.Length) continue;
                float w = value[a + da][row + dr];
                if (w > v || (w == v && (da < 0 || (da == 0 && dr < 0)))) return false;
            }
        return true;
    }

    /// <summary>Offset of a parabola's top through three equally spaced heights, within half a step.</summary>
    private static double Vertex(double left, double top, double right)
    {
        double curve = left - 2 * top + right;
        return curve < 0 ? Math.Clamp(0.5 * (left - right) / curve, -0.5, 0.5) : 0;
    }
}
