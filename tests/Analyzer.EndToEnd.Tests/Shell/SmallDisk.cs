using System.Diagnostics;

namespace Analyzer.EndToEnd.Tests.Shell;

/// <summary>A disk of a few kilobytes in memory (tmpfs), mounted for one test; skips the test where that is not allowed.</summary>
internal sealed class SmallDisk : IDisposable
{
    public SmallDisk(Scratch scratch, string options)
    {
        Skip.IfNot(OperatingSystem.IsLinux(), "needs a Linux tmpfs");
        Path = scratch.At("disk");
        Directory.CreateDirectory(Path);
        Skip.IfNot(Mount("mount", "-t", "tmpfs", "-o", options, "tmpfs", Path), "this account may not mount a small disk");
    }

    public string Path { get; }

    public string At(string name) => System.IO.Path.Combine(Path, name);

    public void MakeReadOnly() => Assert.True(Mount("mount", "-o", "remount,ro", Path));

    /// <summary>Fills what is left but for the given bytes.</summary>
    public void Fill(int leaveBytes = 0)
    {
        using var filler = new FileStream(At("filler"), FileMode.Create);
        Assert.ThrowsAny<IOException>(() =>
        {
            for (int i = 0; i < 10_000; i++)
            {
                filler.Write(new byte[4096]);
                filler.Flush();
            }
        });
        filler.SetLength(Math.Max(0, filler.Length / 4096 * 4096 - leaveBytes));
    }

    public void Dispose() => Mount("umount", Path);

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
