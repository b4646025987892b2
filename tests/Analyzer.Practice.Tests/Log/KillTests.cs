using System.Collections.Concurrent;
using System.Diagnostics;
using Analyzer.Practice.Log;
using Xunit.Abstractions;

namespace Analyzer.Practice.Tests.Log;

/// <summary>Writers are killed (SIGKILL) at random moments while several write to one log.</summary>
public class KillTests(ITestOutputHelper output)
{
    private const int Kills = 200, AtOnce = 4;

    [SkippableFact]
    public void TwoHundredKills_LoseNoAcknowledgedEntry()
    {
        Skip.If(OperatingSystem.IsWindows(), "Process.Kill is SIGKILL on Unix only.");
        using var place = new TemporaryFolder();
        string path = place.File("log.db");
        var acknowledged = new ConcurrentQueue<string>();
        var random = new Random(20260101);
        int killed = 0, midway = 0;
        while (killed < Kills)
        {
            var writers = Enumerable.Range(0, AtOnce).Select(i => Start(path, $"w{killed + i}", acknowledged)).ToList();
            foreach ((Process process, TaskCompletionSource open, Task reading) in writers) Assert.True(open.Task.Wait(TimeSpan.FromSeconds(60)), "a writer did not start");
            foreach ((Process process, _, _) in writers)
            {
                Thread.Sleep(random.Next(0, 25));
                if (!process.HasExited) midway++;
                process.Kill();
            }
            foreach ((Process process, _, Task reading) in writers)
            {
                process.WaitForExit();
                Assert.True(reading.Wait(TimeSpan.FromSeconds(30)), "a writer's output did not end");
                Assert.Equal(137, process.ExitCode);
                process.Dispose();
            }
            killed += AtOnce;
            using PracticeLog log = PracticeLog.Open(path);
            HashSet<string> there = [.. log.Sessions().Select(s => s.Uid)];
            Assert.All(acknowledged, uid => Assert.Contains(uid, there));
            Assert.All(log.Sessions(), s => Assert.Single(s.Blocks));
            // Keeps the file small so that every round is as quick as the first; the removals are transactions too.
            foreach (PracticeSession session in log.Sessions().Take(Math.Max(0, there.Count - 400)))
            {
                log.Remove(session.Id);
                acknowledged = new ConcurrentQueue<string>(acknowledged.Where(u => u != session.Uid));
            }
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
