using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Ends;

/// <summary>What the photo tells of one stitched line besides its course: where it starts and ends, and its stitches. Null where not resolvable.</summary>
public sealed record LineDetails(ThreadEnd? Start, ThreadEnd? End, StitchReading? Stitches);

/// <summary>Reads ends and stitches of all traced lines from the photo.</summary>
public static class LineDetailReader
{
    /// <summary>Height of the block's mean autocorrelation at one stitch from which stitches are read, and of a single line's.</summary>
    private const double LeastPeak = 0.12, LeastOwn = 0.08;

    /// <summary>A shorter distance is taken where its peak is this share of the highest: the highest may be two stitches.</summary>
    private const double ShorterShare = 0.55;

    /// <summary>One entry per traced line, in order; null for a line without a trace.</summary>
    public static IReadOnlyList<LineDetails?> Read(Photo photo, BlockPlane plane, IntendedGrid grid, IReadOnlyList<TracedLine?> lines)
    {
        ThreadHeights.Course?[] courses = [.. lines.Select(l => l is { Coverage: > 0.4, AlongMm.Length: >= 4 } ? new ThreadHeights.Course(l, grid.Families[l.Line.Family]) : null)];
        var heights = new ThreadHeights?[lines.Count];
        var rho = new double[lines.Count][];
        Parallel.For(0, lines.Count, i =>
        {
            if (courses[i] is not { } course) return;
            IEnumerable<ThreadHeights.Course> others = courses.OfType<ThreadHeights.Course>().Where(o => o.Line.Line.Family != course.Line.Line.Family);
            if (ThreadHeights.Of(photo.Bgr, plane, grid, course.Line, course, others) is not { } h) return;
            (heights[i], rho[i]) = (h, StitchReader.Autocorrelation(h));
        });
        double? period = Period([.. rho.Where((r, i) => r is not null && lines[i]!.Line.LengthMm > 25)]);
        var details = new LineDetails?[lines.Count];
        Parallel.For(0, lines.Count, i =>
        {
            if (heights[i] is not { } h) return;
            bool dashed = period is { } p && rho[i].Skip((int)(0.85 * p / ThreadHeights.StepMm)).Take((int)(0.3 * p / ThreadHeights.StepMm) + 1).Max() > LeastOwn;
            details[i] = new LineDetails(EndFinder.Start(h), EndFinder.End(h), dashed ? StitchReader.Read(h, period!.Value, plane.PixelsPerMm) : null);
        });
        return details;
    }

    /// <summary>The machine's stitch length from the mean autocorrelation of all lines, mm; null where no dashes show.</summary>
    private static double? Period(double[][] all)
    {
        if (all.Length == 0) return null;
        double[] mean = [.. Enumerable.Range(0, all[0].Length).Select(lag => all.Average(r => r[lag]))];
        List<(double At, double Height)> peaks = [];
        for (int lag = (int)(DashReading.ShortestMm / ThreadHeights.StepMm); lag + 1 < mean.Length; lag++)
        {
            if (mean[lag] < mean[lag - 1] || mean[lag] < mean[lag + 1]) continue;
            double curve = mean[lag - 1] - 2 * mean[lag] + mean[lag + 1];
            peaks.Add(((lag + (curve < 0 ? 0.5 * (mean[lag - 1] - mean[lag + 1]) / curve : 0)) * ThreadHeights.StepMm, mean[lag]));
        }
        if (peaks.Count == 0) return null;
        double top = peaks.Max(p => p.Height);
        return top < LeastPeak ? null : peaks.First(p => p.Height >= ShorterShare * top).At;
    }
}
