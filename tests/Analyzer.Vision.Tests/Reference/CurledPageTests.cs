using Analyzer.Core.Causes;
using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Reference;

/// <summary>
/// C8 of the external checks: a printed 9 x 9 grid on a curled page (sudoku.png of opencv-doc). Four corners cannot flatten it; the tool must show this as a
/// sheet out of shape and not as a hand that wobbles. The main job refuses print, so the stages are called one by one.
/// </summary>
public sealed class CurledPageTests(ITestOutputHelper output)
{
    private const double CellMm = 10;

    [SkippableFact]
    public void CurledPage_ComesOutAsBlockDistortion_NotAsWobble()
    {
        string folder = Environment.GetEnvironmentVariable("OPENCV_DOC_DATA") ?? "/usr/share/doc/opencv-doc/examples/data", path = Path.Combine(folder, "sudoku.png");
        Skip.IfNot(File.Exists(path), "The sample photos of the opencv-doc package are not installed.");
        var size = new BlockSize(9 * CellMm, 9 * CellMm);
        var grid = new IntendedGrid(size, [new LineFamily(0, CellMm, new BlockPoint(0, 0)), new LineFamily(90, CellMm, new BlockPoint(0, 0))]);
        using Photo photo = PhotoReader.Read(path);
        var plane = new BlockPlane(new BlockCorners(new(72, 85), new(492, 69), new(520, 522), new(33, 515), 1), size);
        TracedLine[] lines = [.. new StitchTracer().Trace(photo, plane, grid).Lines.Where(l => l is { AlongMm.Length: >= 12 }).Select(l => l!)];
        foreach (TracedLine line in lines) output.WriteLine($"{line.Line.Id}: {line.AlongMm.Length} samples, farthest {line.DeviationMm.MaxBy(Math.Abs) / CellMm:0.000} of a cell, rms {Rms(line) / CellMm:0.000}, u {line.SigmaMm.Average():0.000} mm");
        Assert.True(lines.Length >= 12, $"only {lines.Length} of 16 lines were traced");

        // C8: the upright lines inside lie 4 to 12 hundredths of a cell off; here by their farthest sample.
        double[] upright = [.. lines.Where(l => l.Line.Family == 1).Select(l => l.DeviationMm.Max(Math.Abs) / CellMm)];
        Assert.InRange(upright.Order().ElementAt(upright.Length / 2), 0.03, 0.15);

        ErrorBudget? budget = CauseAnalysis.Split(grid, [.. lines.Select(l => new TraceProfile(l.Line, grid.Families[l.Line.Family], l.AlongMm, l.DeviationMm, l.SigmaMm, l.Noise))], new CauseSettings { CornerUMm = 0.2 });
        Assert.NotNull(budget);
        foreach (CauseShare cause in budget.Causes) output.WriteLine($"{cause.Cause} {cause.Percent:0.0} % ({cause.LowPercent:0.0} to {cause.HighPercent:0.0}), {cause.RmsMm:0.000} mm");
        double distortion = budget.Causes.Single(c => c.Cause == "distortion").Percent, wobble = budget.Causes.Where(c => c.Cause.StartsWith("wobble", StringComparison.Ordinal)).Sum(c => c.Percent);
        Assert.True(distortion > 50 && wobble < 15, $"distortion {distortion:0} %, wobble {wobble:0} %");
    }

    private static double Rms(TracedLine line) => Math.Sqrt(line.DeviationMm.Average(d => d * d));
}
