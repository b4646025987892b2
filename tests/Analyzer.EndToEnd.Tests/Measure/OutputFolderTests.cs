using Analyzer.Cli.Shell;
using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>A folder that cannot take the report is told before the photo is measured.</summary>
public class OutputFolderTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    [Fact]
    public void FileInTheFoldersPlace_IsTold()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        string taken = scratch.File("taken", [1]);
        Ran ran = Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--out", taken);
        Assert.Contains("--out", ran.ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        Assert.Equal([1], File.ReadAllBytes(taken));
    }

    [Fact]
    public void FolderBelowAFile_IsTold()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        Ran ran = Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--out", Path.Combine(photo, "report"));
        Assert.Contains("--out", ran.ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
    }

    [SkippableFact]
    public void FolderWithoutTheRightToWrite_IsTold()
    {
        Skip.IfNot(OperatingSystem.IsLinux(), "needs /proc, where nobody may make a folder");
        using var scratch = new Scratch();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--out", "/proc/report").ShouldFailWithOneSentence(2);
    }

    [Fact]
    public void FolderMadeForNothing_IsTakenAwayAgain()
    {
        using var scratch = new Scratch();
        OutputFolder folder = OutputFolder.Prepare("--out", Path.Combine(scratch.Report, "a", "b"));
        Assert.True(Directory.Exists(Path.Combine(scratch.Report, "a", "b")));
        folder.Undo();
        scratch.ShouldHoldNoReport();
    }

    [Fact]
    public void FolderThatWasThere_Stays()
    {
        using var scratch = new Scratch();
        Directory.CreateDirectory(scratch.Report);
        OutputFolder.Prepare("--out", scratch.Report).Undo();
        Assert.True(Directory.Exists(scratch.Report));
        Assert.Empty(Directory.EnumerateFileSystemEntries(scratch.Report));
    }

    [SkippableFact]
    public void ReadOnlyDisk_IsTold()
    {
        using var scratch = new Scratch();
        using var disk = new SmallDisk(scratch, "size=32k");
        disk.MakeReadOnly();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        Ran ran = Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--out", disk.At("report"));
        Assert.Contains("nothing can be written there", ran.ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        Ran.Words("plan", "--size", "8in", "--grid", "square:1in", "--out", disk.At("plan")).ShouldFailWithOneSentence(1);
        Ran.Words("reference-sheet", "--out", disk.At("rule.pdf")).ShouldFailWithOneSentence(1);
        Ran.Words("log", "export", "--log", disk.At("log.db"), "--out", scratch.At("a.zip")).ShouldShowNoInsides();
    }

    /// <summary>Nothing is left on the disk: told before the photo is measured.</summary>
    [SkippableFact]
    public void FullDisk_IsTold()
    {
        using var scratch = new Scratch();
        using var disk = new SmallDisk(scratch, "size=32k");
        disk.Fill();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        Ran ran = Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--out", disk.At("report"));
        Assert.Contains("disk is full", ran.ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(disk.At("report")));
    }

    /// <summary>The disk fills while the report is written: the older report stays as it was, and nothing is left beside it.</summary>
    [SkippableFact]
    public void DiskThatFillsWhileTheReportIsWritten_LeavesTheOlderReportWhole()
    {
        using var scratch = new Scratch();
        using var disk = new SmallDisk(scratch, "size=128k");
        Directory.CreateDirectory(disk.At("report"));
        File.WriteAllText(disk.At("report/report.json"), "older");
        disk.Fill(leaveBytes: 24 * 1024);
        string photo = scratch.File("block.jpg", block.Jpeg);
        string[] measure = ["measure", photo, .. block.GridWords(), .. block.CornerWords(), "--out"];
        Ran ran = Ran.Words([.. measure, disk.At("report")]);
        Assert.Contains("The disk is full", ran.ShouldFailWithOneSentence(1).Error, StringComparison.Ordinal);
        Assert.Equal("older", File.ReadAllText(disk.At("report/report.json")));
        Assert.Single(Directory.EnumerateFileSystemEntries(disk.At("report")));

        Assert.Contains("The disk is full", Ran.Words([.. measure, scratch.Report, "--stages", disk.At("stages")]).ShouldFailWithOneSentence(1).Error, StringComparison.Ordinal);
        scratch.ShouldHoldNoReport();
        Assert.Contains("The disk is full", Ran.Words("plan", "--size", "8in", "--grid", "square:1in", "--out", disk.At("plan")).ShouldFailWithOneSentence(1).Error, StringComparison.Ordinal);
        Assert.Equal(["filler", "report"], Directory.EnumerateFileSystemEntries(disk.Path).Select(Path.GetFileName).Order(StringComparer.Ordinal));
    }
}
