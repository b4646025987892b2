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

    /// <summary>False under another line, outside the photo, and where the thread's place is not known.</summary>
    public bool[] IsSeen { get; }

    /// <summary>Standard deviation of the height where there is no thread (beside the line).</summary>
    public double Noise { get; }

    public static ThreadHeights? Of(Mat photo, BlockPlane plane, IntendedGrid grid, TracedLine traced, IReadOnlyList<TracedLine> all)
    {
        if (traced.AlongMm.Length < 12) return null;
        LineFamily family = grid.Families[traced.Line.Family];
        int n = (int)((traced.Line.LengthMm + 2 * BeyondMm) / StepMm) + 1;
        double[] along = [.. Enumerable.Range(0, n).Select(i => i * StepMm - BeyondMm)];
        var course = new Course(traced);
        double[] deviation = [.. along.Select(course.At)];
        Colour3[][] rows = Sample(photo, plane, family, traced, along, deviation, out bool[] inside);
        bool[][] free = Free(grid, family, traced, along, deviation, all);
        (Colour3 direction, double[] middle) = Direction(rows, along, traced, free);
        if (direction.Norm < 1e-9) return null;
        var height = new double[n];
        var seen = new bool[n];
        var beside = new List<double>();
        for (int i = 0; i < n; i++)
        {
            if (!inside[i]) continue;
            (height[i], seen[i]) = Reading(rows[i], free[i], 0, middle, direction);
            // The same reading half a millimetre and more beside the thread is noise; its flanks are kept off the thread.
            if (i % 4 == 0 && along[i] > 3 && along[i] < traced.Line.LengthMm - 3 && seen[i]) beside.Add(Flanks(rows[i], direction));
        }
        if (beside.Count < 20) return null;
        beside.Sort();
        double spread = (beside[beside.Count * 84 / 100] - beside[beside.Count * 16 / 100]) / 2;
        return new ThreadHeights(traced, along, height, seen, Math.Max(0.02, spread));
    }

    /// <summary>Difference of the two flanks: what the cloth alone does to a difference of neighbouring places.</summary>
    private static double Flanks(Colour3[] row, Colour3 direction)
    {
        double left = 0, right = 0;
        for (int j = 0; j < 4; j++)
        {
            left += direction.Dot(row[j]) / 4;
            right += direction.Dot(row[Across - 1 - j]) / 4;
        }
        return (left - right) / Math.Sqrt(2);
    }

    private static (double Height, bool Seen) Reading(Colour3[] row, bool[] free, int shift, double[] middle, Colour3 direction)
    {
        double core = 0, coreWeight = 0, flank = 0, coreAll = 0;
        int flanks = 0;
        for (int j = 0; j < Across; j++)
        {
            double w = middle[j];
            coreAll += w;
            if (!free[j]) continue;
            double v = direction.Dot(row[j]);
            core += w * v;
            coreWeight += w;
            if (Math.Abs(j - Half) * AcrossStepMm >= 0.55)
            {
                flank += v;
                flanks++;
            }
        }
        return coreWeight < 0.5 * coreAll || flanks < 4 ? (0, false) : (core / coreWeight - flank / flanks, true);
    }

    /// <summary>The direction of colour that shows this line's thread, scaled so that the usual thread reads 1; and the weights of the middle.</summary>
    private static (Colour3, double[]) Direction(Colour3[][] rows, double[] along, TracedLine traced, bool[][] free)
    {
        double half = Math.Clamp(traced.WidthMm / 2, 0.1, 0.25);
        double[] middle = [.. Enumerable.Range(0, Across).Select(j => Math.Clamp((half + 0.05 - Math.Abs(j - Half) * AcrossStepMm) / 0.1, 0, 1))];
        Colour3 sum = default;
        int count = 0;
        for (int i = 0; i < rows.Length; i++)
        {
            if (along[i] < 2 || along[i] > traced.Line.LengthMm - 2 || free[i].Any(f => !f)) continue;
            Colour3 core = default, flank = default;
            double weight = 0;
            int flanks = 0;
            for (int j = 0; j < Across; j++)
            {
                core += middle[j] * rows[i][j];
                weight += middle[j];
                if (Math.Abs(j - Half) * AcrossStepMm < 0.55) continue;
                flank += rows[i][j];
                flanks++;
            }
            sum += 1 / weight * core - 1.0 / flanks * flank;
            count++;
        }
        if (count < 20) return (default, middle);
        Colour3 mean = 1.0 / count * sum;
        return (1 / Math.Max(1e-9, mean.Dot(mean)) * mean, middle);
    }

    private static Colour3[][] Sample(Mat photo, BlockPlane plane, LineFamily family, TracedLine traced, double[] along, double[] deviation, out bool[] inside)
    {
        int n = along.Length;
        inside = new bool[n];
        using var map = new Mat(n, Across, MatType.CV_32FC2);
        Homography h = plane.PhotoFromBlock;
        var line = new float[2 * Across];
        for (int i = 0; i < n; i++)
        {
            bool all = true;
            for (int j = 0; j < Across; j++)
            {
                double u = deviation[i] + (j - Half) * AcrossStepMm;
                (double x, double y) = h.Map(traced.Line.From.Xmm + family.AlongX * along[i] + family.AcrossX * u, traced.Line.From.Ymm + family.AlongY * along[i] + family.AcrossY * u);
                (line[2 * j], line[2 * j + 1]) = ((float)x, (float)y);
                all &= x >= 0 && y >= 0 && x <= photo.Cols - 1 && y <= photo.Rows - 1;
            }
            inside[i] = all;
            System.Runtime.InteropServices.Marshal.Copy(line, 0, map.Ptr(i), line.Length);
        }
        using var strip = new Mat();
        using var none = new Mat();
        Cv2.Remap(photo, strip, map, none, InterpolationFlags.Linear, BorderTypes.Replicate);
        var bgr = new byte[n * Across * 3];
        System.Runtime.InteropServices.Marshal.Copy(strip.Data, bgr, 0, bgr.Length);
        var rows = new Colour3[n][];
        for (int i = 0; i < n; i++)
        {
            rows[i] = new Colour3[Across];
            for (int j = 0; j < Across; j++)
            {
                int k = (i * Across + j) * 3;
                rows[i][j] = Colour3.OfBgr(bgr[k], bgr[k + 1], bgr[k + 2]);
            }
        }
        return rows;
    }

    /// <summary>Which places no other thread covers, also a little way beyond the other line's ends.</summary>
    private static bool[][] Free(IntendedGrid grid, LineFamily family, TracedLine traced, double[] along, double[] deviation, IReadOnlyList<TracedLine> all)
    {
        (LineFamily Family, TracedLine Line, Course Course)[] others = [.. all.Where(o => o.Line.Family != traced.Line.Family && o.AlongMm.Length >= 4).Select(o => (grid.Families[o.Line.Family], o, new Course(o)))];
        var free = new bool[along.Length][];
        for (int i = 0; i < along.Length; i++)
        {
            free[i] = new bool[Across];
            Array.Fill(free[i], true);
            foreach ((LineFamily f, TracedLine other, Course course) in others)
            {
                var foot = new BlockPoint(traced.Line.From.Xmm + family.AlongX * along[i] + family.AcrossX * deviation[i], traced.Line.From.Ymm + family.AlongY * along[i] + family.AcrossY * deviation[i]);
                double s = f.Along(foot) - f.Along(other.Line.From), base0 = f.AcrossOfLine(other.Line.Index);
                if (s < -3 || s > other.Line.LengthMm + 3 || Math.Abs(f.Across(foot) - base0 - course.At(s)) > ReachMm + 0.5) continue;
                for (int j = 0; j < Across; j++)
                {
                    double u = (j - Half) * AcrossStepMm;
                    var p = new BlockPoint(foot.Xmm + family.AcrossX * u, foot.Ymm + family.AcrossY * u);
                    double at = f.Along(p) - f.Along(other.Line.From);
                    if (at > -2 && at < other.Line.LengthMm + 2 && Math.Abs(f.Across(p) - base0 - course.At(at)) < OtherHalfWidthMm) free[i][j] = false;
                }
            }
        }
        return free;
    }

    /// <summary>The thread's deviation anywhere along its line: between samples straight, beyond them along the last 12 mm's own line.</summary>
    private sealed class Course(TracedLine line)
    {
        private const double TailMm = 12;

        private readonly (double At, double Level, double Slope) _start = Tail(line, 0), _end = Tail(line, 1);

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
