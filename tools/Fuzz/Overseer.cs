using System.Diagnostics;

namespace Analyzer.Fuzz;

/// <summary>Runs one kind in child processes, 500 inputs each, and counts crashes, hangs, too much memory and uncaught exceptions.</summary>
internal sealed class Overseer(string kind, int first, int count)
{
    /// <summary>Longest time of one input, ms of processor: other work on the machine counts for nothing. Twelve times as long by the clock is a standstill.</summary>
    private const int LongestMs = 10_000, StandstillMs = 12 * LongestMs;

    private const int Batch = 500;

    /// <summary>A photo of 200 million pixels is accepted: 600 MB of pixels, once more while it is turned and its colours put right.</summary>
    private const long MostMegabytes = 2_000;

    private int _crashes, _hangs, _heavy, _uncaught, _done;
    private long _peak, _slowest;

    public bool Run()
    {
        var clock = Stopwatch.StartNew();
        for (int at = first; at < first + count;) at = Child(at, Math.Min(at + Batch, first + count));
        Console.WriteLine($"| {kind} | {_done} | {_crashes} | {_hangs} | {_heavy} | {_uncaught} | {_slowest} | {_peak} | {clock.Elapsed.TotalSeconds:0} |");
        return _crashes + _hangs + _heavy + _uncaught == 0;
    }

    /// <summary>Returns the seed to go on with: after a crash or a hang the one behind it.</summary>
    private int Child(int from, int to)
    {
        var start = new ProcessStartInfo(Environment.ProcessPath!) { RedirectStandardOutput = true, RedirectStandardError = true };
        if (Path.GetFileNameWithoutExtension(start.FileName) == "dotnet") start.ArgumentList.Add(typeof(Overseer).Assembly.Location);
        foreach (string word in (string[])["child", kind, $"{from}", $"{to}"]) start.ArgumentList.Add(word);
        using Process child = Process.Start(start)!;
        child.ErrorDataReceived += (_, _) => { };
        child.BeginErrorReadLine();
        int next = from;
        bool hung = false;
        while (next < to)
        {
            Task<string?> line = child.StandardOutput.ReadLineAsync();
            // The first line waits for the process to start too.
            if (!line.Wait(StandstillMs + (next == from ? 30_000 : 0)))
            {
                hung = true;
                child.Kill(entireProcessTree: true);
                break;
            }
            if (line.Result is not { } said) break;
            Count(said);
            next++;
        }
        child.WaitForExit();
        if (next >= to) return to;
        Console.WriteLine($"{kind} seed {next}: {(hung ? "hang" : $"the process ended with {child.ExitCode}")}");
        if (hung) _hangs++;
        else _crashes++;
        _done++;
        return next + 1;
    }

    private void Count(string line)
    {
        string[] parts = line.Split(' ', 4);
        long ms = long.Parse(parts[1]), megabytes = long.Parse(parts[2]);
        _done++;
        _slowest = Math.Max(_slowest, ms);
        if (ms > LongestMs)
        {
            _hangs++;
            Console.WriteLine($"{kind} seed {parts[0]}: {ms} ms");
        }
        if (megabytes > MostMegabytes && megabytes > _peak)
        {
            _heavy++;
            Console.WriteLine($"{kind} seed {parts[0]}: {megabytes} MB");
        }
        _peak = Math.Max(_peak, megabytes);
        if (parts[3] == "ok") return;
        _uncaught++;
        if (_uncaught <= 20) Console.WriteLine($"{kind} seed {parts[0]}: {parts[3][..Math.Min(600, parts[3].Length)]}");
    }
}
