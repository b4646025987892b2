using System.Text.Json;
using Analyzer.Core.Report;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Testing;
using ImageMagick;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>The main job from the command line to the files, on an invented block whose truth the renderer knows.</summary>
public class MeasureBlockTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    /// <summary>Contrasting thread: median sample error, mm (the product's own goal).</summary>
    private const double MedianErrorMm = 0.06;

    private static readonly string[] AllFiles = ["intersections.csv", "lines.csv", "overlay.png", "report.html", "report.json"];

    private Ran Measure(Scratch scratch, byte[] photo, string name, params string[] more) =>
        Ran.Words(["measure", scratch.File(name, photo), .. block.GridWords(), "--out", scratch.Report, .. more]);

    private static AccuracyReport Report(Scratch scratch) => ReportJson.Read(File.ReadAllText(Path.Combine(scratch.Report, "report.json")));

    private static string[] Names(string folder) => [.. Directory.EnumerateFileSystemEntries(folder).Select(p => Path.GetFileName(p)).Order(StringComparer.Ordinal)];

    [Fact]
    public void ContrastingThread_IsMeasuredWithinItsGoal()
    {
        using var scratch = new Scratch();
        Ran ran = Measure(scratch, block.Jpeg, "block.jpg", block.CornerWords());
        Assert.Equal(0, ran.ExitCode);
        Assert.Equal(AllFiles, Names(scratch.Report));
        AccuracyReport report = Report(scratch);
        SceneTruth truth = block.Photo.Truth;
        Assert.Equal(truth.Lines.Select(line => line.Id), report.Lines.Select(line => line.Id));
        var errors = new List<double>();
        foreach (LineTruth line in truth.Lines.Where(line => !line.IsMissing))
        {
            LineReport told = report.Lines.Single(l => l.Id == line.Id);
            Assert.Contains(told.Status, (string[])["measured", "partial"]);
            Dictionary<int, double> wanted = line.Samples.ToDictionary(s => (int)Math.Round(s.AlongMm), s => s.DeviationMm);
            foreach (LineSample sample in told.Samples)
                if (wanted.TryGetValue((int)Math.Round(sample.AlongMm), out double deviation)) errors.Add(Math.Abs(sample.DeviationMm - deviation));
        }
        Assert.True(errors.Count > 100, $"only {errors.Count} samples could be compared");
        errors.Sort();
        Assert.InRange(errors[errors.Count / 2], 0, MedianErrorMm);
        Assert.Contains("Report: ", ran.Out, StringComparison.Ordinal);
        Assert.Contains("read photo", ran.Out, StringComparison.Ordinal);
        Assert.Equal("", ran.Error);
    }

    [Fact]
    public void CornersOnAuto_FindTheSameBlock()
    {
        using var scratch = new Scratch();
        Assert.Equal(0, Measure(scratch, block.Jpeg, "block.jpg", "--no-pictures").ExitCode);
        Assert.Equal(["intersections.csv", "lines.csv", "report.json"], Names(scratch.Report));
        AccuracyReport report = Report(scratch);
        Assert.Equal("found", report.Block!.CornerSource);
        var truth = block.Photo.Truth.Corners.ToArray();
        for (int i = 0; i < 4; i++)
            Assert.InRange(Math.Sqrt(Math.Pow(report.Block.CornersPx[i][0] - truth[i].X, 2) + Math.Pow(report.Block.CornersPx[i][1] - truth[i].Y, 2)), 0, 0.01 * block.Photo.WidthPx);
    }

    /// <summary>The same block as scanners, editors and printers store it: it must be read and measured all the same.</summary>
    [Theory]
    [InlineData("grey.png")]
    [InlineData("alpha.png")]
    [InlineData("deep.png")]
    [InlineData("cmyk.jpg")]
    public void UnusualPixels_AreMeasuredToo(string name)
    {
        using var scratch = new Scratch();
        Ran ran = Measure(scratch, Unusual(name), name, [.. block.CornerWords(), "--no-pictures"]);
        Assert.Equal(0, ran.ExitCode);
        AccuracyReport report = Report(scratch);
        Assert.True(report.Lines.Count(line => line.Status == "measured") > report.Lines.Count / 2);
    }

    private byte[] Unusual(string name)
    {
        using var image = new MagickImage(block.Photo.ToPng());
        switch (name)
        {
            case "grey.png":
                image.ColorType = ColorType.Grayscale;
                return image.ToByteArray(MagickFormat.Png8);
            case "alpha.png":
                return image.ToByteArray(MagickFormat.Png32);
            case "deep.png":
                image.Depth = 16;
                return image.ToByteArray(MagickFormat.Png48);
            default:
                image.ColorSpace = ColorSpace.CMYK;
                image.Quality = 92;
                return image.ToByteArray(MagickFormat.Jpeg);
        }
    }

    [Fact]
    public void PlainCloth_IsNotMeasurableAndTheReportSaysWhy()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg(1600, 1200));
        Ran ran = Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--out", scratch.Report).ShouldShowNoInsides();
        Assert.Equal(3, ran.ExitCode);
        AccuracyReport report = Report(scratch);
        Assert.Equal("not-measurable", report.Outcome);
        Assert.NotEmpty(report.Reasons);
        Assert.All(report.Reasons, reason => Assert.NotEqual("", reason.Advice));
        Assert.Contains(report.Reasons[0].Message, ran.Error, StringComparison.Ordinal);
        Assert.True(File.Exists(Path.Combine(scratch.Report, "report.html")));
        Assert.Empty(Directory.EnumerateFiles(scratch.Report, "*.part"));
    }

    [Fact]
    public void SeveralPhotos_EachGetTheirFolderAndOneBadOneDoesNotStopTheRest()
    {
        using var scratch = new Scratch();
        string good = scratch.File("good.jpg", block.Jpeg), bad = scratch.File("bad.jpg", "no photo"u8.ToArray());
        Ran ran = Ran.Words(["measure", bad, good, .. block.GridWords(), "--no-pictures", "--out", scratch.Report]);
        Assert.Equal(2, ran.ExitCode);
        Assert.Equal(["good"], Names(scratch.Report));
        Assert.Contains("bad.jpg", ran.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void Interrupted_LeavesNothing()
    {
        using var scratch = new Scratch();
        using var cancel = new CancellationTokenSource();
        cancel.Cancel();
        Ran ran = Ran.Words(cancel.Token, ["measure", scratch.File("block.jpg", block.Jpeg), .. block.GridWords(), "--out", scratch.Report]);
        Assert.Equal(130, ran.ExitCode);
        scratch.ShouldHoldNoReport();
    }

    [Fact]
    public void SecondRun_ReplacesTheFirst()
    {
        using var scratch = new Scratch();
        Directory.CreateDirectory(scratch.Report);
        File.WriteAllText(Path.Combine(scratch.Report, "report.json"), "old");
        File.WriteAllText(Path.Combine(scratch.Report, "my-notes.txt"), "kept");
        Assert.Equal(0, Measure(scratch, block.Jpeg, "block.jpg", [.. block.CornerWords(), "--no-pictures"]).ExitCode);
        Assert.Equal(AccuracyReport.SchemaName, Report(scratch).Schema);
        Assert.Equal("kept", File.ReadAllText(Path.Combine(scratch.Report, "my-notes.txt")));
    }

    /// <summary>report.json has every field the contract names, in its spelling.</summary>
    [Fact]
    public void ReportJson_HasTheFieldsOfTheContract()
    {
        using var scratch = new Scratch();
        Assert.Equal(0, Measure(scratch, block.Jpeg, "block.jpg", [.. block.CornerWords(), "--no-pictures"]).ExitCode);
        using JsonDocument json = JsonDocument.Parse(File.ReadAllText(Path.Combine(scratch.Report, "report.json")));
        JsonElement root = json.RootElement;
        void Has(JsonElement element, params string[] names) => Assert.All(names, name => Assert.True(element.TryGetProperty(name, out _), $"{name} is missing"));
        Has(root, "schema", "outcome", "reasons", "photo", "block", "grid", "lines", "intersections", "extraLines", "errorBudget", "settings", "software");
        Has(root.GetProperty("photo"), "file", "widthPx", "heightPx", "sha256");
        Has(root.GetProperty("block"), "widthMm", "heightMm", "cornersPx", "cornerSource", "cornerUncertaintyPx", "pixelsPerMm");
        Has(root.GetProperty("grid").GetProperty("families")[0], "family", "angleDeg", "spacingMm", "throughMm");
        JsonElement line = root.GetProperty("lines").EnumerateArray().First(l => l.GetProperty("status").GetString() == "measured");
        Has(line, "id", "family", "index", "fromMm", "toMm", "status", "coverage", "offsetMm", "angleDeg", "straightnessTotalMm", "straightnessRmsMm", "samples");
        Has(line.GetProperty("offsetMm"), "value", "u");
        Has(line.GetProperty("samples")[0], "alongMm", "deviationMm", "u");
        JsonElement crossing = root.GetProperty("intersections").EnumerateArray().First(i => i.GetProperty("crossings").GetArrayLength() > 0);
        Has(crossing, "id", "lineIds", "intendedMm", "stitchedMm", "radialMm", "crossings", "missTriangleMm");
        Has(crossing.GetProperty("crossings")[0], "lineIds", "atMm");
        Has(root.GetProperty("software"), "version");
    }

    [Fact]
    public void Stages_LeaveTheirPictures()
    {
        using var scratch = new Scratch();
        Assert.Equal(0, Measure(scratch, block.Jpeg, "block.jpg", [.. block.CornerWords(), "--no-pictures", "--stages", scratch.At("stages")]).ExitCode);
        string[] pictures = Names(scratch.At("stages"));
        Assert.True(pictures.Length >= 4, $"only {string.Join(", ", pictures)}");
        Assert.All(pictures, name => Assert.Matches(@"\.(png|jpg)$", name));
    }
}
