using System.Diagnostics;
using System.Globalization;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Bench;

/// <summary>What the benches of speed and memory share: one measurement from bytes, times, and the process's own memory.</summary>
internal static class Probe
{
    public static string Machine => string.Create(CultureInfo.InvariantCulture,
        $"{Environment.ProcessorCount} cores, {System.Runtime.InteropServices.RuntimeInformation.OSDescription.Split('#')[0].Trim()}, .NET {Environment.Version}, load at the start {Load()}");

    /// <summary>Decode to deviations, without pictures.</summary>
    public static AccuracyReport Measure(byte[] jpeg, IntendedGrid grid, AnalysisSettings settings, long halveFromPixels = long.MaxValue)
    {
        var clock = Stopwatch.StartNew();
        using Photo photo = PhotoReader.Read(jpeg, "bench.jpg", halveFromPixels);
        double read = clock.Elapsed.TotalMilliseconds;
        AccuracyReport report = new BlockAnalyzer().Analyze(photo, grid, settings).Report;
        return report with { StageTimes = [new StageTime("read photo", read), .. report.StageTimes] };
    }

    /// <summary>A rendered scene through its JPEG, without pictures; the true corners are given, with the uncertainty they are to be taken for.</summary>
    public static AccuracyReport MeasureAtTrueCorners(SyntheticPhoto rendered, double uncertaintyPx)
    {
        SceneTruth truth = rendered.Truth;
        return Measure(rendered.ToJpeg(90), truth.Grid, new AnalysisSettings { GivenCorners = truth.Corners with { UncertaintyPx = uncertaintyPx }, CornersExact = true, WithPicture = false });
    }

    /// <summary>A number among the words of a bench's call, or another where none stands there.</summary>
    public static int Number(string[] args, int at, int otherwise) =>
        args.Length > at && int.TryParse(args[at], NumberStyles.None, CultureInfo.InvariantCulture, out int n) ? n : otherwise;

    public static double[] Times(int n, Action action)
    {
        var all = new double[n];
        for (int i = 0; i < n; i++)
        {
            var clock = Stopwatch.StartNew();
            action();
            all[i] = clock.Elapsed.TotalMilliseconds;
        }
        Array.Sort(all);
        return all;
    }

    /// <summary>Resident memory now, MB, after everything unused was given back.</summary>
    public static double SettledMegabytes()
    {
        for (int i = 0; i < 3; i++)
        {
            GC.Collect(2, GCCollectionMode.Aggressive, blocking: true, compacting: true);
            GC.WaitForPendingFinalizers();
        }
        using Process self = Process.GetCurrentProcess();
        return self.WorkingSet64 / 1048576.0;
    }

    public static double PeakMegabytes()
    {
        using Process self = Process.GetCurrentProcess();
        return self.PeakWorkingSet64 / 1048576.0;
    }

    public static string Root()
    {
        string? folder = AppContext.BaseDirectory;
        while (folder is not null && !File.Exists(Path.Combine(folder, "Analyzer.sln"))) folder = Path.GetDirectoryName(folder);
        return folder ?? throw new InvalidOperationException("The bench does not run inside the source tree.");
    }

    private static string Load()
    {
        try
        {
            return File.ReadAllText("/proc/loadavg").Split(' ')[0];
        }
        catch (IOException)
        {
            return "unknown";
        }
    }
}
