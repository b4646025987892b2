using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using OpenCvSharp;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// A narrow piece of the photo straightened along one traced path: entry (i, j) is the colour at i·AlongStepMm along the intended line and
/// (j - Middle)·AcrossStepMm beside the path, taken from the photo itself in one interpolation.
/// </summary>
internal sealed class ThreadStrip
{
    public const double AlongStepMm = 0.125, AcrossStepMm = 1.0 / 12;

    private readonly byte[] _bgr;

    private ThreadStrip(GridLine line, double[] pathMm, int across, byte[] bgr)
    {
        Line = line;
        PathMm = pathMm;
        Across = across;
        _bgr = bgr;
    }

    public GridLine Line { get; }

    /// <summary>Deviation of the strip's middle from the intended line at each step, mm.</summary>
    public double[] PathMm { get; }

    public int Along => PathMm.Length;

    public int Across { get; }

    public int Middle => Across / 2;

    public static ThreadStrip Cut(Mat photo, BlockPlane plane, LineFamily family, CoarsePath path, double halfWidthMm)
    {
        int along = Math.Max(2, (int)Math.Floor(path.Line.LengthMm / AlongStepMm) + 1);
        int across = 2 * (int)Math.Ceiling(halfWidthMm / AcrossStepMm) + 1;
        double[] pathMm = Smoothed(path, along);
        return new ThreadStrip(path.Line, pathMm, across, Read(photo, plane, family, path.Line.From, pathMm, across));
    }

    /// <summary>Projection of every entry on one colour direction, row by row along the line, and a margin of zeros so that a padded row may be read anywhere.</summary>
    public float[] Project(Colour3 q)
    {
        // q·(opponent channels) as weights of blue, green and red.
        float wb = (float)(0.114 * q.L - q.B), wg = (float)(0.587 * q.L - q.A + 0.5 * q.B), wr = (float)(0.299 * q.L + q.A + 0.5 * q.B);
        var p = new float[Along * Across + TemplateRows.Padded];
        for (int i = 0, k = 0; k < _bgr.Length; i++, k += 3) p[i] = wb * _bgr[k] + wg * _bgr[k + 1] + wr * _bgr[k + 2];
        return p;
    }

    /// <summary>The same with a direction of its own at every step along.</summary>
    public float[] Project(Colour3[] q)
    {
        var p = new float[Along * Across + TemplateRows.Padded];
        for (int i = 0; i < Along; i++)
        {
            Colour3 d = q[i];
            float wb = (float)(0.114 * d.L - d.B), wg = (float)(0.587 * d.L - d.A + 0.5 * d.B), wr = (float)(0.299 * d.L + d.A + 0.5 * d.B);
            for (int j = 0, k = i * Across * 3; j < Across; j++, k += 3) p[i * Across + j] = wb * _bgr[k] + wg * _bgr[k + 1] + wr * _bgr[k + 2];
        }
        return p;
    }

    /// <summary>A traced line's centre at every step of the strip, straight across its gaps, mm beside the strip's middle.</summary>
    public double[] CentreOf(TracedLine line)
    {
        double[] x = line.FineAlongMm.Length > 1 ? line.FineAlongMm : line.AlongMm, y = line.FineAlongMm.Length > 1 ? line.FineDeviationMm : line.DeviationMm;
        var centre = new double[Along];
        for (int i = 0, k = 0; i < centre.Length; i++)
        {
            double s = i * AlongStepMm;
            while (k + 2 < x.Length && x[k + 1] < s) k++;
            double f = Math.Clamp((s - x[k]) / (x[k + 1] - x[k]), 0, 1);
            centre[i] = y[k] + f * (y[k + 1] - y[k]) - PathMm[i];
        }
        return centre;
    }

    /// <summary>All entries' blue, green and red, row by row along the line.</summary>
    public ReadOnlySpan<byte> Bgr => _bgr;

    /// <summary>Share of entries near the middle that are clipped white or black.</summary>
    public bool IsClipped(int i)
    {
        int clipped = 0, seen = 0;
        for (int j = Middle - 6; j <= Middle + 6; j++)
        {
            int k = (i * Across + j) * 3;
            seen++;
            if (_bgr[k] >= 253 && _bgr[k + 1] >= 253 && _bgr[k + 2] >= 253) clipped++;
        }
        return clipped * 3 > seen * 2;
    }

    /// <summary>
    /// The path as a running straight piece, a Gaussian weight about each place. What the path's own coarse steps put in below the scale at which the trace is
    /// averaged is never taken out again, so they are smoothed away over twice that scale; the trace finds quick wobble by itself.
    /// </summary>
    private static double[] Smoothed(CoarsePath path, int along)
    {
        const double scaleMm = 1.2;
        int radius = (int)Math.Ceiling(2.5 * scaleMm / path.StepMm);
        double[] kernel = [.. Enumerable.Range(0, radius + 1).Select(i => Math.Exp(-0.5 * Math.Pow(i * path.StepMm / scaleMm, 2)))];
        int n = path.DeviationMm.Length;
        var smooth = new double[n];
        for (int i = 0; i < n; i++)
        {
            double s0 = 0, s1 = 0, s2 = 0, sy = 0, sxy = 0;
            for (int j = Math.Max(0, i - radius); j <= Math.Min(n - 1, i + radius); j++)
            {
                double w = kernel[Math.Abs(j - i)], x = j - i, y = path.DeviationMm[j];
                (s0, s1, s2, sy, sxy) = (s0 + w, s1 + w * x, s2 + w * x * x, sy + w * y, sxy + w * x * y);
            }
            double det = s0 * s2 - s1 * s1;
            smooth[i] = det > 1e-9 ? (sy * s2 - sxy * s1) / det : sy / s0;
        }
        CoarsePath even = path with { DeviationMm = smooth };
        return [.. Enumerable.Range(0, along).Select(i => even.At(i * AlongStepMm))];
    }

    private static byte[] Read(Mat photo, BlockPlane plane, LineFamily family, BlockPoint from, double[] pathMm, int across)
    {
        int middle = across / 2;
        var pixels = new BgrPixels(photo);
        var bgr = new byte[pathMm.Length * across * 3];
        for (int i = 0; i < pathMm.Length; i++)
        {
            double along = i * AlongStepMm, first = pathMm[i] - middle * AcrossStepMm;
            var start = new BlockPoint(from.Xmm + family.AlongX * along + family.AcrossX * first, from.Ymm + family.AlongY * along + family.AcrossY * first);
            plane.Row(start, family.AcrossX * AcrossStepMm, family.AcrossY * AcrossStepMm).Read(pixels, bgr.AsSpan(3 * i * across, 3 * across));
        }
        return bgr;
    }
}
