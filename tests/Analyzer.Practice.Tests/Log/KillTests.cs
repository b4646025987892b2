using System.Collections.Concurrent;
using System.Diagnostics;
using Analyzer.Practice.Log;
using Xunit.Abstractions;

namespace Analyzer.Practice.Tests.Log;

/// <summary>Writers are killed (SIGKILL) at random moments while several write to one log.</summary>
public class KillTests(ITestOutputHelper output)
{
    private const int Kills = 200, AtOnce = 5;

    [SkippableFact]
    public void TwoHundredKills_LoseNoAcknowledgedEntry()
    {
        Skip.If(OperatingSystem.IsWindows(), "Process.Kill is SIGKILL on Unix only.");
        using var place = new TemporaryFolder();
        var acknowledged = new ConcurrentQueue<string>();
        var random = new Random(20260101);
        int killed = 0, midway = 0;
        string path = "";
        while (killed < Kills)
        {
            // One file lives through ten rounds of kills; a new one then keeps every round as quick as the first.
            if (killed % (10 * AtOnce) == 0)
            {
                path = place.File($"log-{killed}.db");
                acknowledged.Clear();
            }
            var writers = Enumerable.Range(0, AtOnce).Select(i => Start(path, $"w{killed + i}", acknowledged)).ToList();
            foreach ((_, TaskCompletionSource open, _) in writers) Assert.True(open.Task.Wait(TimeSpan.FromMinutes(5)), "a writer did not start");
            foreach ((Process process, _, _) in writers)
            {
                Thread.Sleep(random.Next(0, 25));
                if (!process.HasExited) midway++;
                process.Kill();
            }
            foreach ((Process process, _, Task reading) in writers)
            {
                process.WaitForExit();
                Assert.True(reading.Wait(TimeSpan.FromMinutes(2)), "a writer's output did not end");
                Assert.Equal(137, process.ExitCode);
                process.Dispose();
            }
            killed += AtOnce;
            using PracticeLog log = PracticeLog.Open(path);
            IReadOnlyList<PracticeSession> sessions = log.Sessions();
            HashSet<string> there = [.. sessions.Select(s => s.Uid)];
            Assert.DoesNotContain(acknowledged, uid => !there.Contains(uid));
            Assert.All(sessions, s => Assert.Single(s.Blocks));
        }
        output.WriteLine($"{killed} writers killed, {midway} of them while running.");
        Assert.True(killed >= Kills && midway == killed);
    }

    private static (Process Process, TaskCompletionSource Open, Task Reading) Start(string path, string name, ConcurrentQueue<string> acknowledged)
    {
        var start = new ProcessStartInfo(Environment.ProcessPath is { } dotnet && Path.GetFileNameWithoutExtension(dotnet) == "dotnet" ? dotnet : "dotnet")
        {
            RedirectStandardOutput = true,
            UseShellExecute = false,
        };
        // The writers live for a moment only: no second compilation, one core.
        start.Environment["DOTNET_TieredPGO"] = "0";
        start.Environment["DOTNET_gcServer"] = "0";
        foreach (string word in new[] { "exec", typeof(KillTests).Assembly.Location, "write-log", path, name }) start.ArgumentList.Add(word);
        var process = Process.Start(start)!;
        var open = new TaskCompletionSource();
        Task reading = Task.Run(() =>
        {
            // A line that was cut short by the kill has no line end; ReadLine gives it all the same, so only whole lines count.
            string text = "";
            var buffer = new char[4096];
            for (int n; (n = process.StandardOutput.Read(buffer)) > 0;)
            {
                text += new string(buffer, 0, n);
                for (int end; (end = text.IndexOf('\n', StringComparison.Ordinal)) >= 0; text = text[(end + 1)..])
                    if (text[..end] == "open") open.TrySetResult();
                    else acknowledged.Enqueue(text[..end]);
            }
        });
        return (process, open, reading);
    }
}
