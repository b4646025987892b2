using System.Diagnostics;
using Analyzer.Cli.Shell;
using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>A folder that cannot take the report is told before the photo is measured.</summary>
public class OutputFolderTests
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

    /// <summary>A disk of 32 kB with nothing left on it.</summary>
    [SkippableFact]
    public void FullDisk_IsTold()
    {
        Skip.IfNot(OperatingSystem.IsLinux(), "needs a Linux tmpfs");
        using var scratch = new Scratch();
        string disk = scratch.At("disk");
        Directory.CreateDirectory(disk);
        Skip.IfNot(Mount("mount", "-t", "tmpfs", "-o", "size=32k", "tmpfs", disk), "this account may not mount a small disk");
        try
        {
            string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
            using (var filler = new FileStream(Path.Combine(disk, "filler"), FileMode.Create))
                Assert.ThrowsAny<IOException>(() =>
                {
                    for (int i = 0; i < 1000; i++)
                    {
                        filler.Write(new byte[4096]);
                        filler.Flush();
                    }
                });
            Ran ran = Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--out", Path.Combine(disk, "report"));
            Assert.Contains("disk is full", ran.ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
            Assert.False(Directory.Exists(Path.Combine(disk, "report")));
        }
        finally
        {
            Mount("umount", disk);
        }
    }

    private static bool Mount(string command, params string[] words)
    {
        try
        {
            var start = new ProcessStartInfo(command) { RedirectStandardError = true };
            foreach (string word in words) start.ArgumentList.Add(word);
            using Process process = Process.Start(start)!;
            process.WaitForExit();
            return process.ExitCode == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }
}
