using System.Diagnostics;
using Analyzer.EndToEnd.Tests.Measure;
using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Hostile;

/// <summary>Ctrl-C sent to the real process at moments spread over its whole run: exit code 130 and nothing half-written.</summary>
public class InterruptTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    private const int Moments = 6;

    [SkippableFact]
    public void CtrlCAtAnyMoment_LeavesNothingHalfWritten()
    {
        Skip.If(OperatingSystem.IsWindows(), "Windows sends Ctrl-C to whole consoles only");
        using var scratch = new Scratch();
        string photo = scratch.File("block.jpg", block.Jpeg);
        string[] measure = ["measure", photo, .. block.GridWords(), .. block.CornerWords()];
        var clock = Stopwatch.StartNew();
        Assert.Equal(0, Ran.Program([.. measure, "--out", scratch.At("whole")]).ExitCode);
        double wholeMs = clock.Elapsed.TotalMilliseconds;
        string[] whole = Names(scratch.At("whole"));
        int stopped = 0;
        for (int i = 1; i <= Moments; i++)
        {
            Directory.CreateDirectory(scratch.Report);
            File.WriteAllText(Path.Combine(scratch.Report, "report.json"), "older");
            using Process process = Process.Start(RealSignal.Listening(Ran.ProgramStart([.. measure, "--out", scratch.Report])))!;
            Task<string> said = process.StandardError.ReadToEndAsync();
            process.OutputDataReceived += (_, _) => { };
            process.BeginOutputReadLine();
            if (!process.WaitForExit(TimeSpan.FromMilliseconds(wholeMs * i / (Moments + 1)))) RealSignal.Interrupt(process);
            process.WaitForExit();
            if (process.ExitCode == 0)
            {
                // It had ended, or was past the last moment to stop: then the report is whole.
                Assert.Equal(whole, Names(scratch.Report));
            }
            else
            {
                stopped++;
                Assert.Equal(130, process.ExitCode);
                Assert.DoesNotContain("Exception", said.Result, StringComparison.Ordinal);
                Assert.Equal("older", File.ReadAllText(Path.Combine(scratch.Report, "report.json")));
                Assert.Equal(["report.json"], Names(scratch.Report));
            }
            Directory.Delete(scratch.Report, recursive: true);
        }
        Assert.InRange(stopped, 2, Moments);
    }

    private static string[] Names(string folder) => [.. Directory.EnumerateFileSystemEntries(folder).Select(path => Path.GetFileName(path)).Order(StringComparer.Ordinal)];
}
