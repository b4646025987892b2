using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Chalk along a ruler with a thread led by hand beside it. Truth is analytic: the chalk is painted on the intended line and the thread on a course of our own.</summary>
public sealed class BesideBrightMarksTests
{
    private const double PxPerMm = 9, SideMm = 100, ChalkMm = 0.45, ThreadMm = 0.35;

    private const byte Cloth = 110, Chalk = 235, Thread = 60;

    private static readonly IntendedGrid s_grid = new(new BlockSize(SideMm, SideMm), [new LineFamily(0, 20, new BlockPoint(0, 20)), new LineFamily(90, 20, new BlockPoint(20, 0))]);

    /// <summary>Where the thread runs beside its line, mm: always clear of the chalk.</summary>
    private static double ThreadAt(double alongMm, int line) => 0.75 + 0.12 * Math.Sin(alongMm / 4 + line) + 0.1 * Math.Sin(alongMm / 11 + 2 * line);

    private static Photo Painted() => PaintedBlock.Paint(SideMm, PxPerMm, place =>
    {
        double grey = Cloth;
        for (int i = 0; i < s_grid.Lines.Count; i++)
        {
            (double off, double along) = PaintedBlock.From(s_grid.Lines[i], s_grid, place);
            grey += (Chalk - grey) * PaintedBlock.Inside(off, ChalkMm, PxPerMm);
            if (PaintedThread.IsOnStitch(along, i)) grey += (Thread - grey) * PaintedBlock.Inside(off - ThreadAt(along, i), ThreadMm, PxPerMm);
        }
        return grey;
    }, noise: 8);

    [Fact]
    public void Trace_BesideRuledChalk_FollowsTheStitches()
    {
        using Photo photo = Painted();
        BlockTraces traces = new StitchTracer().Trace(photo, PaintedBlock.Plane(photo, SideMm), s_grid);
        double[] off = [.. traces.Lines.SelectMany((l, i) => l is null ? [] : l.AlongMm.Zip(l.DeviationMm, (s, d) => Math.Abs(d - ThreadAt(s, i)))).Order()];
        Assert.True(off.Length > 0.8 * s_grid.Lines.Sum(l => l.LengthMm), $"{off.Length} samples");
        Assert.True(off[off.Length / 2] < 0.06 && off[(int)(0.95 * off.Length)] < 0.2, $"{off[off.Length / 2]:0.000} and {off[(int)(0.95 * off.Length)]:0.000} mm");
    }

    /// <summary>Truth: the renderer's. Dark threads on dark cloth beside clear chalk or silver pencil; these were refused, or the pencil was taken for the thread.</summary>
    [Theory]
    [InlineData(370024)]
    [InlineData(370033)]
    public void Trace_BesideBrightMarks_GivesTheThread(int seed)
    {
        SyntheticPhoto rendered = SceneRenderer.Render(SceneSettings.Random(seed, Tier.Hard, 110));
        using Photo photo = PhotoReader.Read(rendered.ToJpeg(90), "block.jpg");
        IntendedGrid grid = rendered.Truth.Grid;

        BlockTraces traces = new StitchTracer().Trace(photo, new BlockPlane(rendered.Truth.Corners, grid.Size), grid);

        var fromThread = new List<double>();
        var fromMark = new List<double>();
        int within = 0;
        foreach (TracedLine line in traces.Lines.OfType<TracedLine>())
        {
            LineTruth truth = rendered.Truth.Line(line.Line.Id);
            Collect(line, truth.Samples, fromThread);
            Collect(line, truth.MarkSamples, fromMark);
            within += Enumerable.Range(0, line.AlongMm.Length).Count(i => truth.Samples.Any(t => Math.Abs(t.AlongMm - line.AlongMm[i]) < 0.51 && Math.Abs(t.DeviationMm - line.DeviationMm[i]) < 2 * Math.Sqrt(Math.Pow(line.SigmaMm[i], 2) + Math.Pow(line.CommonUMm, 2))));
        }
        Assert.True(Median(fromThread) < 0.12 && Median(fromThread) < 0.4 * Median(fromMark), $"{Median(fromThread):0.000} mm from the thread, {Median(fromMark):0.000} mm from the mark");
        Assert.False(traces.LookAlikeUndecided);
        Assert.True(within > 0.9 * fromThread.Count, $"{within} of {fromThread.Count} samples within their expanded uncertainty");

        static void Collect(TracedLine line, IReadOnlyList<DeviationSample> truth, List<double> into) =>
            into.AddRange(line.AlongMm.Zip(line.DeviationMm).SelectMany(p => truth.Where(t => Math.Abs(t.AlongMm - p.First) < 0.51).Select(t => Math.Abs(t.DeviationMm - p.Second)).Take(1)));

        static double Median(List<double> values) => values.Order().ElementAt(values.Count / 2);
    }
}
