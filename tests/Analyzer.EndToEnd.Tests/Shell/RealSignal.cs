using System.Diagnostics;
using System.Runtime.InteropServices;

namespace Analyzer.EndToEnd.Tests.Shell;

/// <summary>What Ctrl-C in a terminal sends (SIGINT), to a real process.</summary>
internal static class RealSignal
{
    private const int Sigint = 2;

    public static void Interrupt(Process process) => Assert.Equal(0, Kill(process.Id, Sigint));

    [DllImport("libc", EntryPoint = "kill", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Kill(int processId, int signal);
}
