using System.Diagnostics;
using System.Runtime.InteropServices;

namespace Analyzer.EndToEnd.Tests.Shell;

/// <summary>What Ctrl-C in a terminal sends (SIGINT), to a real process.</summary>
internal static class RealSignal
{
    private const int Sigint = 2;

    public static void Interrupt(Process process) => Assert.Equal(0, Kill(process.Id, Sigint));

    /// <summary>
    /// A start that listens to Ctrl-C. A shell that runs the tests in its background hands an ignored SIGINT down to every process, and the runtime keeps to that;
    /// a person's terminal never does.
    /// </summary>
    public static ProcessStartInfo Listening(ProcessStartInfo start)
    {
        if (!IsIgnoredHere()) return start;
        string[] words = ["--default-signal=INT", start.FileName, .. start.ArgumentList];
        start.FileName = "/usr/bin/env";
        start.ArgumentList.Clear();
        foreach (string word in words) start.ArgumentList.Add(word);
        return start;
    }

    /// <summary>The kernel's own list of ignored signals, a bit each (proc(5), SigIgn).</summary>
    private static bool IsIgnoredHere()
    {
        const string status = "/proc/self/status", name = "SigIgn:";
        if (!File.Exists(status)) return false;
        string ignored = File.ReadLines(status).First(l => l.StartsWith(name, StringComparison.Ordinal))[name.Length..].Trim();
        return (Convert.ToUInt64(ignored, 16) >> (Sigint - 1) & 1) == 1;
    }

    [DllImport("libc", EntryPoint = "kill", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Kill(int processId, int signal);
}
