namespace Analyzer.Reporting.Tests;

public sealed class ReportFolderTests : IDisposable
{
    private const int DiskFull = 28; // ENOSPC, POSIX errno on Linux

    private readonly string _root = Directory.CreateTempSubdirectory("report-folder-").FullName;

    private static ReportFiles Files(string word, params string[] names) =>
        new((names.Length > 0 ? names : [.. ReportFiles.AllNames]).ToDictionary(n => n, n => System.Text.Encoding.UTF8.GetBytes(word + " " + n)));

    private string Folder => Path.Combine(_root, "out");

    private static string[] Names(string folder) => [.. Directory.GetFileSystemEntries(folder).Select(p => Path.GetFileName(p)!).Order()];

    public void Dispose() => Directory.Delete(_root, recursive: true);

    [Fact]
    public void Write_IntoNewFolder_LeavesExactlyTheFiles()
    {
        ReportFolder.Write(Folder, Files("new"));
        Assert.Equal(ReportFiles.AllNames.Order(), Names(Folder));
        Assert.Equal("new report.json", File.ReadAllText(Path.Combine(Folder, "report.json")));
    }

    [Fact]
    public void Write_OverAnOlderReport_ReplacesItAndLeavesOtherFilesAlone()
    {
        ReportFolder.Write(Folder, Files("old"));
        File.WriteAllText(Path.Combine(Folder, "my notes.txt"), "mine");
        ReportFolder.Write(Folder, Files("new", "report.json", "report.html"));
        Assert.Equal(["my notes.txt", "report.html", "report.json"], Names(Folder));
        Assert.Equal("new report.html", File.ReadAllText(Path.Combine(Folder, "report.html")));
    }

    public static TheoryData<string> Steps => [.. ReportFiles.AllNames.SelectMany(n => new[] { "write " + n, "rename " + n })];

    [Theory]
    [MemberData(nameof(Steps))]
    public void Write_FailingAtAnyStep_LeavesTheOlderReportAsItWas(string failing)
    {
        ReportFolder.Write(Folder, Files("old"));
        void Step(string step)
        {
            if (step == failing) throw new IOException("No space left on device", DiskFull);
        }
        var trouble = Assert.Throws<ReportFolderException>(() => ReportFolder.Write(Folder, Files("new"), Step, default));
        Assert.StartsWith("The disk is full, so nothing was written", trouble.Message, StringComparison.Ordinal);
        Assert.Equal(ReportFiles.AllNames.Order(), Names(Folder));
        Assert.All(ReportFiles.AllNames, n => Assert.Equal("old " + n, File.ReadAllText(Path.Combine(Folder, n))));
    }

    [Theory]
    [MemberData(nameof(Steps))]
    public void Write_FailingInANewFolder_LeavesNothing(string failing)
    {
        void Step(string step)
        {
            if (step == failing) throw new IOException("torn out");
        }
        Assert.Throws<ReportFolderException>(() => ReportFolder.Write(Folder, Files("new"), Step, default));
        Assert.False(Directory.Exists(Folder));
    }

    [Fact]
    public void Write_WhenCancelledBetweenFiles_LeavesTheOlderReport()
    {
        ReportFolder.Write(Folder, Files("old"));
        using var cancel = new CancellationTokenSource();
        Assert.Throws<OperationCanceledException>(() => ReportFolder.Write(Folder, Files("new"), step =>
        {
            if (step == "write lines.csv") cancel.Cancel();
        }, cancel.Token));
        Assert.Equal(ReportFiles.AllNames.Order(), Names(Folder));
        Assert.Equal("old report.json", File.ReadAllText(Path.Combine(Folder, "report.json")));
    }

    [Fact]
    public void Write_WhereAFolderIsNamedLikeAReportFile_ChangesNothing()
    {
        ReportFolder.Write(Folder, Files("old", "report.json", "report.html"));
        Directory.CreateDirectory(Path.Combine(Folder, "overlay.png"));
        Assert.Throws<ReportFolderException>(() => ReportFolder.Write(Folder, Files("new")));
        Assert.Equal(["overlay.png", "report.html", "report.json"], Names(Folder));
        Assert.Equal("old report.json", File.ReadAllText(Path.Combine(Folder, "report.json")));
    }

    [Fact]
    public void Write_WhereThePathIsAFile_SaysSo()
    {
        File.WriteAllText(Folder, "a file");
        var trouble = Assert.Throws<ReportFolderException>(() => ReportFolder.Write(Folder, Files("new")));
        Assert.Contains("is a file", trouble.Message, StringComparison.Ordinal);
        Assert.Throws<ReportFolderException>(() => ReportFolder.Write(Path.Combine(Folder, "below"), Files("new")));
        Assert.Equal("a file", File.ReadAllText(Folder));
    }

    [SkippableFact]
    public void Write_WhereNobodyMayWrite_SaysSoInOneSentence()
    {
        Skip.IfNot(OperatingSystem.IsLinux() && Directory.Exists("/proc"), "needs a folder that even the administrator cannot write to");
        var trouble = Assert.Throws<ReportFolderException>(() => ReportFolder.Write("/proc/report", Files("new")));
        Assert.Contains("/proc/report", trouble.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', trouble.Message);
    }
}
