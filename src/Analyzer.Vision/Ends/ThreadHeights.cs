using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;
using OpenCvSharp;

namespace Analyzer.Vision.Ends;

/// <summary>
/// How much the middle of a traced line looks like its thread, step by step and beyond both ends: 1 = the line's usual thread, 0 = ground. Middle less
/// flanks, so that a ditch, a seam or a change of cloth that crosses the line cancels.
/// </summary>
internal sealed class ThreadHeights
{
    public const double StepMm = 0.125, BeyondMm = 5;

    private const double AcrossStepMm = 0.1, ReachMm = 1.0, OtherHalfWidthMm = 0.3;

    private const int Half = (int)(ReachMm / AcrossStepMm + 0.5), Across = 2 * Half + 1;

    private ThreadHeights(TracedLine line, double[] along, double[] height, bool[] seen, double noise) =>
        (Line, AlongMm, Height, IsSeen, Noise) = (line, along, height, seen, noise);

    public TracedLine Line { get; }

    public double[] AlongMm { get; }

    public double[] Height { get; }

    /// <summary>False under another line and outside the photo.</summary>
    public bool[] IsSeen { get; }

    /// <summary>Standard deviation of the height where there is no thread (beside the line).</summary>
    public double Noise { get; }

    /// <param name="course">Where this line's thread runs.</param>
    /// <param name="others">The other families' lines.</param>
    public static ThreadHeights? Of(Mat photo, BlockPlane plane, IntendedGrid grid, TracedLine traced, Course course, IEnumerable<Course> others)
    {
        if (traced.AlongMm.Length < 12) return null;
        LineFamily family = grid.Families[traced.Line.Family];
        int n = (int)((traced.Line.LengthMm + 2 * BeyondMm) / StepMm) + 1;
        double[] along = [.. Enumerable.Range(0, n).Select(i => i * StepMm - BeyondMm)];
        double[] deviation = [.. along.Select(course.At)];
        byte[] bgr = Sample(photo, plane, family, traced, along, deviation, out bool[] inside);
        bool[] free = Free(family, traced, along, deviation, others);
        (Colour3 direction, double[] middle) = Direction(bgr, along, traced, free);
        if (direction.Norm < 1e-9) return null;
        var height = new double[n];
        var seen = new bool[n];
        var beside = new List<double>();
        (double wb, double wg, double wr) = direction.AsBgrWeights();
        var row = new double[Across];
        for (int i = 0; i < n; i++)
        {
            if (!inside[i]) continue;
            for (int j = 0, k = 3 * i * Across; j < Across; j++, k += 3) row[j] = wb * bgr[k] + wg * bgr[k + 1] + wr * bgr[k + 2];
            (height[i], seen[i]) = Reading(row, free.AsSpan(i * Across, Across), middle);
            // The same reading half a millimetre and more beside the thread is noise; its flanks are kept off the thread.
            if (i % 4 == 0 && along[i] > 3 && along[i] < traced.Line.LengthMm - 3 && seen[i]) beside.Add(Flanks(row));
        }
        if (beside.Count < 20) return null;
        beside.Sort();
        double spread = (beside[beside.Count * 84 / 100] - beside[beside.Count * 16 / 100]) / 2;
        return new ThreadHeights(traced, along, height, seen, Math.Max(0.02, spread));
    }

    /// <summary>Difference of the two flanks: what the cloth alone does to a difference of neighbouring places.</summary>
    private static double Flanks(double[] row)
    {
        double left = 0, right = 0;
        for (int j = 0; j < 4; j++)
        {
            left += row[j] / 4;
            right += row[Across - 1 - j] / 4;
        }
        return (left - right) / Math.Sqrt(2);
    }

    private static (double Height, bool Seen) Reading(double[] row, ReadOnlySpan<bool> free, double[] middle)
    {
        double core = 0, coreWeight = 0, flank = 0, coreAll = 0;
        int flanks = 0;
        for (int j = 0; j < Across; j++)
        {
            double w = middle[j];
            coreAll += w;
            if (!free[j]) continue;
            core += w * row[j];
            coreWeight += w;
            if (IsFlank(j))
            {
                flank += row[j];
                flanks++;
            }
        }
        return coreWeight < 0.5 * coreAll || flanks < 4 ? (0, false) : (core / coreWeight - flank / flanks, true);
    }

    private static bool IsFlank(int j) => Math.Abs(j - Half) * AcrossStepMm >= 0.55;

    /// <summary>The direction of colour that shows this line's thread, scaled so that the usual thread reads 1; and the weights of the middle.</summary>
    private static (Colour3, double[]) Direction(byte[] bgr, double[] along, TracedLine traced, bool[] free)
    {
        double half = Math.Clamp(traced.WidthMm / 2, 0.1, 0.25);
        double[] middle = [.. Enumerable.Range(0, Across).Select(j => Math.Clamp((half + 0.05 - Math.Abs(j - Half) * AcrossStepMm) / 0.1, 0, 1))];
        double weight = middle.Sum();
        int flanks = Enumerable.Range(0, Across).Count(IsFlank);
        // Core less flank of every place, as one weight for each place across.
        double[] factor = [.. Enumerable.Range(0, Across).Select(j => middle[j] / weight - (IsFlank(j) ? 1.0 / flanks : 0))];
        double b = 0, g = 0, r = 0;
        int count = 0;
        for (int i = 0; i < along.Length; i++)
        {
            if (along[i] < 2 || along[i] > traced.Line.LengthMm - 2 || free.AsSpan(i * Across, Across).Contains(false)) continue;
            for (int j = 0, k = 3 * i * Across; j < Across; j++, k += 3)
            {
                b += factor[j] * bgr[k];
                g += factor[j] * bgr[k + 1];
                r += factor[j] * bgr[k + 2];
            }
            count++;
        }
        if (count < 20) return (default, middle);
        Colour3 mean = 1.0 / count * Colour3.OfBgr(b, g, r);
        return (1 / Math.Max(1e-9, mean.Dot(mean)) * mean, middle);
    }

    private static byte[] Sample(Mat photo, BlockPlane plane, LineFamily family, TracedLine traced, double[] along, double[] deviation, out bool[] inside)
    {
        int n = along.Length;
        inside = new bool[n];
        var pixels = new BgrPixels(photo);
        var bgr = new byte[n * Across * 3];
        for (int i = 0; i < n; i++)
        {
            double first = deviation[i] - Half * AcrossStepMm;
            var from = new BlockPoint(traced.Line.From.Xmm + family.AlongX * along[i] + family.AcrossX * first, traced.Line.From.Ymm + family.AlongY * along[i] + family.AcrossY * first);
            PhotoRow row = plane.Row(from, family.AcrossX * AcrossStepMm, family.AcrossY * AcrossStepMm);
            row.Read(pixels, bgr.AsSpan(3 * i * Across, 3 * Across));
            // The row is straight in the photo: where both its ends lie inside, all of it does.
            inside[i] = IsInside(row.At(0)) && IsInside(row.At(Across - 1));
        }
        return bgr;
        bool IsInside((double X, double Y) p) => p.X >= 0 && p.Y >= 0 && p.X <= pixels.Cols - 1 && p.Y <= pixels.Rows - 1;
    }

    /// <summary>Which places no other thread covers, also a little way beyond the other line's ends.</summary>
    private static bool[] Free(LineFamily family, TracedLine traced, double[] along, double[] deviation, IEnumerable<Course> others)
    {
        var free = new bool[along.Length * Across];
        Array.Fill(free, true);
        double farthest = deviation.Max(Math.Abs);
        foreach (Course other in others)
        {
            LineFamily f = other.Family;
            double otherStart = f.Along(other.Line.Line.From), base0 = f.AcrossOfLine(other.Line.Line.Index), length = other.Line.Line.LengthMm;
            // Where the two intended lines meet, and how far from there the stitched ones can come near each other.
            double sine = f.AcrossX * family.AlongX + f.AcrossY * family.AlongY, meet = (base0 - f.Across(traced.Line.From)) / sine;
            double reach = (ReachMm + 0.5 + farthest + other.FarthestMm) / Math.Abs(sine);
            int from = (int)Math.Max(0, Math.Floor((meet - reach - along[0]) / StepMm)), to = (int)Math.Min(along.Length - 1, Math.Ceiling((meet + reach - along[0]) / StepMm));
            for (int i = from; i <= to; i++)
            {
                var foot = new BlockPoint(traced.Line.From.Xmm + family.AlongX * along[i] + family.AcrossX * deviation[i], traced.Line.From.Ymm + family.AlongY * along[i] + family.AcrossY * deviation[i]);
                double s = f.Along(foot) - otherStart;
                if (s < -3 || s > length + 3 || Math.Abs(f.Across(foot) - base0 - other.At(s)) > ReachMm + 0.5) continue;
                for (int j = 0; j < Across; j++)
                {
                    double u = (j - Half) * AcrossStepMm;
                    var p = new BlockPoint(foot.Xmm + family.AcrossX * u, foot.Ymm + family.AcrossY * u);
                    double at = f.Along(p) - otherStart;
                    if (at > -2 && at < length + 2 && Math.Abs(f.Across(p) - base0 - other.At(at)) < OtherHalfWidthMm) free[i * Across + j] = false;
                }
            }
        }
        return free;
    }

    /// <summary>The thread's deviation anywhere along its line: between samples straight, beyond them along the last 12 mm's own line.</summary>
    internal sealed class Course(TracedLine line, LineFamily family)
    {
        private const double TailMm = 12, FarthestBeyondMm = 3;

        private readonly (double At, double Level, double Slope) _start = Tail(line, 0), _end = Tail(line, 1);

        public TracedLine Line => line;

        public LineFamily Family => family;

        /// <summary>Farthest that the thread runs from its intended line, also a little beyond its ends, mm.</summary>
        public double FarthestMm => _farthest ??= Math.Max(line.DeviationMm.Max(Math.Abs), Math.Max(Math.Abs(At(-FarthestBeyondMm)), Math.Abs(At(line.Line.LengthMm + FarthestBeyondMm))));

        private double? _farthest;

        public double At(double alongMm)
        {
            double[] x = line.AlongMm, y = line.DeviationMm;
            if (alongMm < x[0]) return y[0] + _start.Slope * (alongMm - x[0]);
            if (alongMm > x[^1]) return y[^1] + _end.Slope * (alongMm - x[^1]);
            int i = Array.BinarySearch(x, alongMm);
            if (i >= 0) return y[i];
            i = ~i - 1;
            return y[i] + (alongMm - x[i]) / (x[i + 1] - x[i]) * (y[i + 1] - y[i]);
        }

        private static (double, double, double) Tail(TracedLine line, int end)
        {
            double[] x = line.AlongMm, y = line.DeviationMm;
            int[] own = [.. Enumerable.Range(0, x.Length).Where(i => end == 0 ? x[i] - x[0] <= TailMm : x[^1] - x[i] <= TailMm)];
            double mx = own.Average(i => x[i]), my = own.Average(i => y[i]), sxx = own.Sum(i => (x[i] - mx) * (x[i] - mx));
            return (mx, my, sxx > 0 ? own.Sum(i => (x[i] - mx) * (y[i] - my)) / sxx : 0);
        }
    }
}
