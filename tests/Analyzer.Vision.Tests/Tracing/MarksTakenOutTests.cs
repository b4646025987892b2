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
public sealed class MarksTakenOutTests
{
    private const double PxPerMm = 9, SideMm = 100, ChalkMm = 0.45, ThreadMm = 0.35;

    private const byte Cloth = 110, Chalk = 235, Thread = 60;

    private static readonly BlockSize s_size = new(SideMm, SideMm);

    private static readonly IntendedGrid s_grid = new(s_size, [new LineFamily(0, 20, new BlockPoint(0, 20)), new LineFamily(90, 20, new BlockPoint(20, 0))]);

    /// <summary>Where the thread runs beside its line, mm: always clear of the chalk.</summary>
    private static double ThreadAt(double alongMm, int line) => 0.75 + 0.12 * Math.Sin(alongMm / 4 + line) + 0.1 * Math.Sin(alongMm / 11 + 2 * line);

    private static Photo Painted()
    {
        int n = (int)(SideMm * PxPerMm) + 1;
        var random = new Random(5);
        var bytes = new byte[3 * n * n];
        for (int row = 0; row < n; row++)
            for (int col = 0; col < n; col++)
            {
                var place = new BlockPoint(col / PxPerMm, row / PxPerMm);
                double grey = Cloth;
                for (int i = 0; i < s_grid.Lines.Count; i++)
                {
                    LineFamily family = s_grid.Families[s_grid.Lines[i].Family];
                    double off = family.Across(place) - family.AcrossOfLine(s_grid.Lines[i].Index), along = family.Along(place) - family.Along(s_grid.Lines[i].From);
                    grey += (Chalk - grey) * Inside(off, ChalkMm);
                    if (PaintedThread.IsOnStitch(along, i)) grey += (Thread - grey) * Inside(off - ThreadAt(along, i), ThreadMm);
                }
                bytes.AsSpan(3 * (row * n + col), 3).Fill((byte)Math.Round(Math.Clamp(grey + 8 * (random.NextDouble() + random.NextDouble() - 1), 0, 255)));
            }
        using Mat mat = Mat.FromPixelData(n, n, MatType.CV_8UC3, bytes);
        Cv2.ImEncode(".png", mat, out byte[] png);
        return PhotoReader.Read(png, "chalk.png");

        // Share of a pixel that lies within so broad a line.
        static double Inside(double off, double width) => Math.Clamp((width / 2 - Math.Abs(off)) * PxPerMm + 0.5, 0, 1);
    }

    private static BlockPlane Plane(Photo photo) => new(new BlockCorners(new(0, 0), new(photo.WidthPx - 1, 0), new(photo.WidthPx - 1, photo.HeightPx - 1), new(0, photo.HeightPx - 1), 0), s_size);

    [Fact]
    public void TheChalkGoes_AndTheThreadBesideItStays()
    {
        using Photo photo = Painted();
        double[] along = [.. Enumerable.Range(1, 98).Select(i => (double)i)];
        TracedLine[] marks = [.. s_grid.Lines.Select(l => new TracedLine
        {
            Line = l,
            AlongMm = along,
            DeviationMm = new double[along.Length],
            SigmaMm = [.. along.Select(_ => 0.02)],
            Noise = new NoiseCorrelation(1),
            Coverage = 1,
            WidthMm = ChalkMm,
        })];

        using Photo clean = MarksTakenOut.Of(photo, Plane(photo), s_grid, marks);

        // Along the first horizontal line, between the vertical ones: cloth where the chalk was, thread where the thread was.
        double[] onChalk = [.. Enumerable.Range(0, 100).Select(i => (double)At(22 + 0.15 * i, 20))];
        double[] before = [.. Enumerable.Range(0, 100).Select(i => 22 + 0.15 * i).Where(s => PaintedThread.IsOnStitch(s - 0.3, 0) && PaintedThread.IsOnStitch(s + 0.3, 0)).Select(s => (double)At(s, 20 + ThreadAt(s, 0)))];
        Assert.InRange(onChalk.Average(), Cloth - 4, Cloth + 4);
        Assert.InRange(before.Average(), Thread - 5, Thread + 15);

        byte At(double x, double y) => clean.Bgr.At<Vec3b>((int)Math.Round(y * PxPerMm), (int)Math.Round(x * PxPerMm)).Item1;
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
        foreach (TracedLine line in traces.Lines.OfType<TracedLine>())
        {
            LineTruth truth = rendered.Truth.Line(line.Line.Id);
            Collect(line, truth.Samples, fromThread);
            Collect(line, truth.MarkSamples, fromMark);
        }
        Assert.True(Median(fromThread) < 0.12 && Median(fromThread) < 0.4 * Median(fromMark), $"{Median(fromThread):0.000} mm from the thread, {Median(fromMark):0.000} mm from the mark");
        Assert.True(traces.LookAlikeMm > 0.12);
        Assert.False(traces.LookAlikeUndecided);

        static void Collect(TracedLine line, IReadOnlyList<DeviationSample> truth, List<double> into) =>
            into.AddRange(line.AlongMm.Zip(line.DeviationMm).SelectMany(p => truth.Where(t => Math.Abs(t.AlongMm - p.First) < 0.51).Select(t => Math.Abs(t.DeviationMm - p.Second)).Take(1)));

        static double Median(List<double> values) => values.Order().ElementAt(values.Count / 2);
    }
}
