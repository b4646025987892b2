using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>A grey thread over a block pieced of a pale and a dark cloth. Truth is analytic: the thread is painted on a course of our own.</summary>
public sealed class OtherGroundTests
{
    private const double PxPerMm = 9, SideMm = 120, ThreadMm = 0.4, PatchMm = 67.5;

    private static readonly IntendedGrid s_grid = new(new BlockSize(SideMm, SideMm), [new LineFamily(0, 15, new BlockPoint(0, 15)), new LineFamily(90, 15, new BlockPoint(15, 0))]);

    private static double ThreadAt(double alongMm, int line) => 0.2 * Math.Sin(alongMm / 4 + line) + 0.15 * Math.Sin(alongMm / 11 + 2 * line);

    [Fact]
    public void AThread_DarkerThanOneClothAndLighterThanTheNext_IsFollowedOnBoth()
    {
        using Photo photo = PaintedBlock.Paint(SideMm, PxPerMm, place =>
        {
            double grey = place.Ymm < PatchMm ? 200 : 45;
            for (int i = 0; i < s_grid.Lines.Count; i++)
            {
                (double off, double along) = PaintedBlock.From(s_grid.Lines[i], s_grid, place);
                if (PaintedThread.IsOnStitch(along, i)) grey += (120 - grey) * PaintedBlock.Inside(off - ThreadAt(along, i), ThreadMm, PxPerMm);
            }
            return grey;
        }, noise: 8);

        BlockTraces traces = new StitchTracer().Trace(photo, PaintedBlock.Plane(photo, SideMm), s_grid);

        string[] wrong = [.. Enumerable.Range(0, s_grid.Lines.Count).Where(i => !IsRight(traces.Lines[i], i)).Select(i => s_grid.Lines[i].Id + " " + traces.Lines[i]?.Coverage + " " + traces.Lines[i]?.Contrast)];
        Assert.True(wrong.Length == 0, traces.Thread!.Name + ": " + string.Join(", ", wrong) + string.Join("; ", traces.Classes));
    }

    private static bool IsRight(TracedLine? line, int i) =>
        line is { Coverage: > 0.9 } && line.AlongMm.Zip(line.DeviationMm).Select(p => Math.Abs(p.Second - ThreadAt(p.First, i))).Order().ElementAt(line.AlongMm.Length / 2) < 0.05;
}
