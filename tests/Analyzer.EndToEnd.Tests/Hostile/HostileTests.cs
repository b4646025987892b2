using System.Globalization;
using System.IO.Compression;
using System.Text;
using Analyzer.Cli.Shell;
using Analyzer.EndToEnd.Tests.Measure;
using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Hostile;

/// <summary>Content and surroundings that would trip a careless program.</summary>
public class HostileTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    private string[] Measure(string photo, string folder, params string[] more) => ["measure", photo, "--out", folder, .. block.GridWords(), .. block.CornerWords(), .. more];

    [SkippableFact]
    public void MarkupAndControlCharactersInTheFilesName_AreHarmless()
    {
        Skip.If(OperatingSystem.IsWindows(), "such names cannot be made on Windows");
        using var scratch = new Scratch();
        string photo = scratch.File("<script>alert(1)<\u001b[31m\a\u202Egpj.jpg", block.Jpeg);
        Ran ran = Ran.Words(Measure(photo, scratch.Report));
        Assert.Equal(0, ran.ExitCode);
        Assert.DoesNotContain('\u001b', ran.Out);
        Assert.DoesNotContain('\a', ran.Out);
        Assert.DoesNotContain("<script>alert", File.ReadAllText(Path.Combine(scratch.Report, "report.html")), StringComparison.Ordinal);
    }

    [Fact]
    public void NonAsciiAndLongPaths_Work()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("Übung 刺し子 é.jpg", block.Jpeg);
        string deep = scratch.At(Path.Combine(new string('ä', 60), new string('b', 90), new string('c', 90)));
        Assert.Equal(0, Ran.Words(Measure(photo, deep, "--no-pictures")).ExitCode);
        Assert.Contains("刺し子", System.Text.Json.JsonDocument.Parse(File.ReadAllText(Path.Combine(deep, "report.json"))).RootElement.GetProperty("photo").GetProperty("file").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public void NameThatIsTooLong_IsOneSentence()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("a.jpg", BadPictures.PlainJpeg());
        Ran.Words(Measure(photo, scratch.At(new string('x', 300)))).ShouldFailWithOneSentenceOfAnyLength(2);
    }

    [SkippableFact]
    public void SymlinkedFolder_ReceivesTheReport()
    {
        Skip.If(OperatingSystem.IsWindows(), "links need rights on Windows");
        using var scratch = new Scratch();
        string photo = scratch.File("a.jpg", block.Jpeg);
        Directory.CreateDirectory(scratch.At("real"));
        Directory.CreateSymbolicLink(scratch.At("link"), scratch.At("real"));
        string outside = scratch.File("outside.txt", "mine"u8.ToArray());
        File.CreateSymbolicLink(scratch.At("real/report.json"), outside);
        Assert.Equal(0, Ran.Words(Measure(photo, scratch.At("link"), "--no-pictures")).ExitCode);
        Assert.Equal("mine", File.ReadAllText(outside));
        Assert.Null(new FileInfo(scratch.At("real/report.json")).LinkTarget);
    }

    [Fact]
    public void FolderNamedLikeAReportFile_LeavesTheOlderReportWhole()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("a.jpg", block.Jpeg);
        Directory.CreateDirectory(Path.Combine(scratch.Report, "lines.csv"));
        File.WriteAllText(Path.Combine(scratch.Report, "report.json"), "older");
        Ran.Words(Measure(photo, scratch.Report, "--no-pictures")).ShouldFailWithOneSentence(1);
        Assert.Equal("older", File.ReadAllText(Path.Combine(scratch.Report, "report.json")));
        Assert.Equal(2, Directory.EnumerateFileSystemEntries(scratch.Report).Count());
    }

    [Fact]
    public void TwoRunsIntoOneFolder_BothEndWellAndLeaveOneWholeReport()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("a.jpg", block.Jpeg);
        var runs = new Ran[4];
        Parallel.For(0, 4, i => runs[i] = Ran.Words(Measure(photo, scratch.Report, "--no-pictures")));
        Assert.All(runs, run => Assert.True(run.ExitCode == 0, run.Error));
        Assert.Equal(["intersections.csv", "lines.csv", "report.json"], Directory.EnumerateFileSystemEntries(scratch.Report).Select(Path.GetFileName).Order(StringComparer.Ordinal));
    }

    /// <summary>Files from before the clock began and from a time to come: the clock was wrong, the report is right.</summary>
    [Fact]
    public void WrongClock_ChangesNothing()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("a.jpg", block.Jpeg);
        File.SetLastWriteTimeUtc(photo, new DateTime(1980, 1, 1, 0, 0, 0, DateTimeKind.Utc));
        Directory.CreateDirectory(scratch.Report);
        string report = Path.Combine(scratch.Report, "report.json");
        File.WriteAllText(report, "older");
        File.SetLastWriteTimeUtc(report, new DateTime(2100, 1, 1, 0, 0, 0, DateTimeKind.Utc));
        Assert.Equal(0, Ran.Words(Measure(photo, scratch.Report, "--no-pictures")).ExitCode);
        Assert.NotEqual("older", File.ReadAllText(report));
        Assert.InRange(File.GetLastWriteTimeUtc(report), DateTime.UtcNow.AddHours(-1), DateTime.UtcNow.AddHours(1));
    }

    [Fact]
    public void DecimalCommaOfTheUsersCulture_ChangesNoNumber()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("a.jpg", block.Jpeg);
        Assert.Equal(0, Ran.Words(Measure(photo, scratch.At("point"), "--no-pictures")).ExitCode);
        CultureInfo before = CultureInfo.CurrentCulture;
        try
        {
            var comma = (CultureInfo)CultureInfo.InvariantCulture.Clone();
            comma.NumberFormat.NumberDecimalSeparator = ",";
            comma.NumberFormat.NumberGroupSeparator = ".";
            CultureInfo.CurrentCulture = comma;
            Ran ran = Ran.Words(Measure(photo, scratch.At("comma"), "--no-pictures"));
            Assert.Equal(0, ran.ExitCode);
            Assert.DoesNotMatch(@"\d,\d\d ", ran.Out);
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
        foreach (string file in (string[])["lines.csv", "intersections.csv"])
            Assert.Equal(File.ReadAllText(scratch.At("point/" + file)), File.ReadAllText(scratch.At("comma/" + file)));
    }

    /// <summary>Stops at every step that is told, from reading the photo to writing the report: exit code 130, and nothing is left.</summary>
    [Fact]
    public void StopAtEveryStage_LeavesNothing()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("a.jpg", block.Jpeg);
        int stages = 0;
        for (int n = 1; ; n++)
        {
            using var cancel = new CancellationTokenSource();
            using var stopping = new StoppingWriter(n, cancel);
            int code = CommandShell.Run(Measure(photo, scratch.Report), new Terminal(TextReader.Null, TextWriter.Null, stopping, IsInteractive: true), cancel.Token);
            if (stopping.Lines < n) break;
            Assert.Equal(130, code);
            scratch.ShouldHoldNoReport();
            stages = n;
        }
        Assert.InRange(stages, 6, 20);
    }

    private sealed class StoppingWriter(int at, CancellationTokenSource cancel) : StringWriter
    {
        public int Lines { get; private set; }

        public override void WriteLine()
        {
            if (++Lines == at) cancel.Cancel();
        }
    }

    [Fact]
    public void ZipWithForeignPaths_IsReadWithoutUnpackingThem()
    {
        using var scratch = new Scratch();
        using (ZipArchive zip = ZipFile.Open(scratch.At("log.zip"), ZipArchiveMode.Create))
        {
            Write(zip, "../escaped.txt", "out");
            Write(zip, "practice-log.json", """{"schema":"stitch-practice-log/1","sessions":[],"plans":[]}""");
        }
        Assert.Equal(0, Ran.Words("log", "import", scratch.At("log.zip"), "--log", scratch.At("inner/log.db")).ExitCode);
        Assert.False(File.Exists(scratch.At("escaped.txt")) || File.Exists(Path.Combine(scratch.At(".."), "escaped.txt")));
    }

    [Fact]
    public void ZipMadeToFillTheMemory_IsRefused()
    {
        using var scratch = new Scratch();
        using (ZipArchive zip = ZipFile.Open(scratch.At("log.zip"), ZipArchiveMode.Create))
            Write(zip, "practice-log.json", new string(' ', 40_000_000));
        Assert.Contains("too large", Ran.Words("log", "import", scratch.At("log.zip"), "--log", scratch.At("log.db")).ShouldFailWithOneSentence(1).Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("""{"schema":"stitch-practice-log/1","sessions":[null],"plans":[]}""")]
    [InlineData("""{"schema":"stitch-practice-log/1","sessions":[{"uid":"a","who":null,"heldOn":"2026-03-14"}],"plans":[]}""")]
    [InlineData("""{"schema":"stitch-practice-log/1","sessions":[],"plans":[{"name":null,"planJson":null}]}""")]
    public void ExportWithHoles_IsRefused(string json)
    {
        using var scratch = new Scratch();
        using (ZipArchive zip = ZipFile.Open(scratch.At("log.zip"), ZipArchiveMode.Create)) Write(zip, "practice-log.json", json);
        Ran.Words("log", "import", scratch.At("log.zip"), "--log", scratch.At("log.db")).ShouldFailWithOneSentence(1);
    }

    private static void Write(ZipArchive zip, string name, string text)
    {
        using Stream entry = zip.CreateEntry(name).Open();
        entry.Write(Encoding.UTF8.GetBytes(text));
    }
}
