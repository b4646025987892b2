using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Planning;
using Analyzer.Testing;
using Analyzer.Vision.Reference;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>
/// From plan --corner-marks to a measured photo: the marks lie where plan.json says, drawn from OpenCV's own generator (K1, dictionary 4X4_50),
/// and the block lies upside down in the photo, so that only the marks can tell which corner is which.
/// </summary>
public sealed class CornerMarkTests(MeasuredBlock upright) : IClassFixture<MeasuredBlock>
{
    /// <summary>Contrasting thread: median sample error, mm (the product's own goal); and a corner by marks and seam, mm.</summary>
    private const double MedianErrorMm = 0.06, CornerMm = 0.5;

    private static readonly SceneSettings Bare = Scene();

    private static SceneSettings Scene()
    {
        SceneSettings scene = SceneSettings.Random(seed: 7, Tier.Easy, sideMm: 110);
        return scene with { Camera = SceneSettings.Framing(scene.Size, 8, 24) with { TiltDeg = 4, TiltTowardDeg = 60, RollDeg = 177 } };
    }

    private static string[] GridWords()
    {
        string N(double v) => v.ToString("R", CultureInfo.InvariantCulture);
        return ["--size", $"{N(Bare.Size.WidthMm)}mm x {N(Bare.Size.HeightMm)}mm",
            .. Bare.Families.SelectMany(f => (string[])["--lines", $"{N(f.AngleDeg)}deg {N(f.SpacingMm)}mm {N(f.Through.Xmm)}mm,{N(f.Through.Ymm)}mm"])];
    }

    private static string PlanWithMarks(Scratch scratch)
    {
        Assert.Equal(0, Ran.Words(["plan", .. GridWords(), "--corner-marks", "--out", scratch.At("plan")]).ExitCode);
        return Path.Combine(scratch.At("plan"), "plan.json");
    }

    private static AccuracyReport Measure(Scratch scratch, SyntheticPhoto photo, string plan)
    {
        Ran ran = Ran.Words(["measure", scratch.File("block.jpg", photo.ToJpeg()), "--plan", plan, "--no-pictures", "--out", scratch.Report]);
        Assert.Equal((0, ""), (ran.ExitCode, ran.Error));
        return ReportJson.Read(File.ReadAllText(Path.Combine(scratch.Report, "report.json")));
    }

    private static double CornerErrorMm(AccuracyReport report, SyntheticPhoto photo, int corner, int of) => Math.Sqrt(
        Math.Pow(report.Block!.CornersPx[corner][0] - photo.Truth.Corners.ToArray()[of].X, 2)
        + Math.Pow(report.Block.CornersPx[corner][1] - photo.Truth.Corners.ToArray()[of].Y, 2)) / report.Block.PixelsPerMm;

    [Fact]
    public void PlannedMarks_InThePhoto_GiveCornersAndUp_AndTheNumbersAgreeWithTheTruth()
    {
        using var scratch = new Scratch();
        string planPath = PlanWithMarks(scratch);
        StitchPlan plan = PlanFile.Read(File.ReadAllText(planPath));
        SyntheticPhoto photo = SceneRenderer.Render(Bare with
        {
            Table = Bare.Table with { Marks = [.. plan.CornerMarks.Select(m => new PrintedMark(m.Corners[0].Xmm, m.Corners[0].Ymm, m.Corners[1].Xmm - m.Corners[0].Xmm, ReferenceMarks.CellsOf(m.Id)))] },
        });
        AccuracyReport report = Measure(scratch, photo, planPath);
        Assert.Equal([0, 1, 2, 3], report.Block!.CornerMarks!);
        Assert.Equal("found", report.Block.CornerSource);
        Assert.All(Enumerable.Range(0, 4), i => Assert.InRange(CornerErrorMm(report, photo, i, i), 0, CornerMm));
        var errors = new List<double>();
        foreach (LineTruth line in photo.Truth.Lines.Where(line => !line.IsMissing))
        {
            Dictionary<int, double> wanted = line.Samples.ToDictionary(s => (int)Math.Round(s.AlongMm), s => s.DeviationMm);
            foreach (LineSample sample in report.Lines.Single(l => l.Id == line.Id).Samples)
                if (wanted.TryGetValue((int)Math.Round(sample.AlongMm), out double deviation)) errors.Add(Math.Abs(sample.DeviationMm - deviation));
        }
        Assert.True(errors.Count > 500, $"only {errors.Count} samples could be compared");
        errors.Sort();
        Assert.InRange(errors[errors.Count / 2], 0, MedianErrorMm);

        // Without the marks nothing in the photo says that the block lies upside down: its top left corner is not found. So it was the marks that told.
        Ran.Words("measure", scratch.File("block.jpg", photo.ToJpeg()), "--plan", planPath, "--no-pictures", "--reference", "none", "--out", scratch.At("blind"));
        AccuracyReport blind = ReportJson.Read(File.ReadAllText(Path.Combine(scratch.At("blind"), "report.json")));
        Assert.Null(blind.Block!.CornerMarks);
        Assert.True(CornerErrorMm(blind, photo, 0, 0) > 50, "the block's own top left corner was found without its marks");
    }

    [Fact]
    public void PlannedMarks_NotInThePhoto_AreToldAndTheSeamIsTaken()
    {
        using var scratch = new Scratch();
        AccuracyReport report = Measure(scratch, upright.Photo, PlanWithMarks(scratch));
        Assert.Null(report.Block!.CornerMarks);
        Assert.Contains(report.Block.Notes, note => note.Contains("corner marks", StringComparison.Ordinal));
        Assert.All(Enumerable.Range(0, 4), i => Assert.InRange(CornerErrorMm(report, upright.Photo, i, i), 0, 2));
    }
}
