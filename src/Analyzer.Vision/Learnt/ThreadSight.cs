using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Rectification;
using OpenCvSharp;

namespace Analyzer.Vision.Learnt;

/// <summary>Strips about the intended lines, read from the photo, made comparable and shown to the net.</summary>
internal static class ThreadSight
{
    /// <summary>So many columns go to the net at a time: more would only take more memory.</summary>
    private const int MostColumns = 12000;

    /// <summary>What is slower than this across the cloth is light and ground, mm.</summary>
    private const double GroundScaleMm = 2.2;

    /// <summary>Differences are in units of the strip's noise, which is at least so much (CIE Lab); beyond so many units they count for less and less.</summary>
    private const float LeastNoise = 0.25f, StraightNoises = 4;

    /// <summary>
    /// Log odds along most lines of a block from which they are sewn, and from which bright lines are that may well be drawn. Along the marks of two dozen blocks with marks alone they were -2 and less, but for one.
    /// </summary>
    private const double Sewn = 0.4, SewnThoughLikeMarks = 0.7;

    /// <summary>Whether most of a block's lines are sewn as the net sees it.</summary>
    /// <param name="logOdds">Mean along every line, not a number where there is none; null where nobody asked the net.</param>
    /// <param name="kind">The kind of line taken for the thread.</param>
    public static bool AreSewn(IReadOnlyList<double>? logOdds, Tracing.ClassScore kind)
    {
        double least = kind is { MayHideThread: true, MaySwayByHand: false } ? SewnThoughLikeMarks : Sewn;
        // More than half of the lines that were followed, and more than a third of all: lines that are missing speak against the others only where they are two thirds.
        return logOdds is not null && logOdds.Count(o => o > least) is > 2 and var sewn && 2 * sewn > logOdds.Count(double.IsFinite) && 3 * sewn > logOdds.Count;
    }

    /// <param name="strips">Which lines are looked at, and how far beside its intended place each strip's middle lies, mm.</param>
    public static SightStrip[] Of(Mat photo, BlockPlane plane, IntendedGrid grid, IReadOnlyList<(int Line, double MiddleMm)> strips, CancellationToken cancel = default)
    {
        int[] widths = [.. strips.Select(s => Math.Max(2, (int)Math.Round(grid.Lines[s.Line].LengthMm * ThreadNet.PixelsPerMm) / ThreadNet.PixelsPerCell) * ThreadNet.PixelsPerCell)];
        var result = new SightStrip[strips.Count];
        for (int first = 0, last; first < result.Length; first = last)
        {
            cancel.ThrowIfCancellationRequested();
            // Nothing before the first and after the last one either: every strip ends alike, however many are shown together.
            int columns = widths[first] + 2 * ThreadNet.ApartPx, from = first;
            for (last = first + 1; last < result.Length && columns + ThreadNet.ApartPx + widths[last] <= MostColumns; last++) columns += ThreadNet.ApartPx + widths[last];
            int count = last - first;
            int[] at = new int[count];
            at[0] = ThreadNet.ApartPx;
            for (int k = 1; k < count; k++) at[k] = at[k - 1] + widths[first + k - 1] + ThreadNet.ApartPx;
            var side = new float[3 * ThreadNet.Rows * columns];
            Parallel.For(0, count, k =>
            {
                (int index, double middleMm) = strips[from + k];
                GridLine line = grid.Lines[index];
                int width = widths[from + k];
                float[] planes = Comparable(photo, plane, grid.Families[line.Family], line, middleMm, width);
                for (int row = 0; row < 3 * ThreadNet.Rows; row++) Array.Copy(planes, row * width, side, row * columns + at[k], width);
            });
            float[] sight = ThreadNet.Look(side, columns);
            for (int k = 0; k < count; k++)
            {
                int cells = widths[first + k] / ThreadNet.PixelsPerCell, all = columns / ThreadNet.PixelsPerCell;
                var own = new float[SightStrip.Rows * cells];
                for (int row = 0; row < SightStrip.Rows; row++) Array.Copy(sight, row * all + at[k] / ThreadNet.PixelsPerCell, own, row * cells, cells);
                result[first + k] = new SightStrip(strips[first + k].MiddleMm, cells, own);
            }
        }
        return result;
    }

    /// <summary>Lightness and the two colour axes of one strip, each less its slow part and over its noise, one plane after the other.</summary>
    private static float[] Comparable(Mat photo, BlockPlane plane, LineFamily family, GridLine line, double middleMm, int widthPx)
    {
        using Mat bgr = Read(photo, plane, family, line, middleMm, widthPx);
        using var scaled = new Mat();
        bgr.ConvertTo(scaled, MatType.CV_32FC3, 1 / 255.0);
        using var lab = new Mat();
        Cv2.CvtColor(scaled, lab, ColorConversionCodes.BGR2Lab);
        using var ground = new Mat();
        double sigma = GroundScaleMm * ThreadNet.PixelsPerMm;
        Cv2.GaussianBlur(lab, ground, new Size(0, 0), sigma, sigma, BorderTypes.Replicate);
        int n = ThreadNet.Rows * widthPx;
        var result = new float[3 * n];
        lab.GetArray(out Vec3f[] colour);
        ground.GetArray(out Vec3f[] slow);
        var size = new float[n];
        for (int c = 0; c < 3; c++)
        {
            Span<float> own = result.AsSpan(c * n, n);
            for (int i = 0; i < n; i++)
            {
                own[i] = colour[i][c] - slow[i][c];
                size[i] = Math.Abs(own[i]);
            }
            Array.Sort(size);
            float noise = Math.Max(LeastNoise, 1.4826f * 0.5f * (size[(n - 1) / 2] + size[n / 2]));
            for (int i = 0; i < n; i++) own[i] = StraightNoises * MathF.Asinh(own[i] / (StraightNoises * noise));
        }
        return result;
    }

    /// <summary>The strip as a picture; where the photo is finer, several of its pixels are averaged.</summary>
    private static Mat Read(Mat photo, BlockPlane plane, LineFamily family, GridLine line, double middleMm, int widthPx)
    {
        int times = Math.Max(1, (int)Math.Ceiling(plane.PixelsPerMm / (1.3 * ThreadNet.PixelsPerMm)));
        double step = 1.0 / (times * ThreadNet.PixelsPerMm), start = family.Along(line.From) + step / 2, across = family.AcrossOfLine(line.Index) + middleMm - ThreadNet.HalfWidthMm + step / 2;
        var pixels = new BgrPixels(photo);
        int rows = ThreadNet.Rows * times, columns = widthPx * times;
        var bgr = new byte[3 * rows * columns];
        for (int r = 0; r < rows; r++)
            plane.Row(family.At(start, across + r * step), family.AlongX * step, family.AlongY * step).Read(pixels, bgr.AsSpan(3 * r * columns, 3 * columns));
        using Mat fine = Mat.FromPixelData(rows, columns, MatType.CV_8UC3, bgr);
        var result = new Mat();
        if (times == 1) fine.CopyTo(result);
        else Cv2.Resize(fine, result, new Size(widthPx, ThreadNet.Rows), 0, 0, InterpolationFlags.Area);
        return result;
    }
}
