using System.Diagnostics;
using Analyzer.Pipeline;
using Analyzer.Testing;

namespace Analyzer.Bench;

/// <summary>Memory: growth over many measures of a small photo, and throughput of a batch on two threads.</summary>
internal static class MemoryBench
{
    /// <remarks>memory [measures]: a block of 110 mm, corners given.</remarks>
    public static int Run(string[] args)
    {
        int count = args.Length > 0 ? int.Parse(args[0]) : 2000;
        (byte[] jpeg, SceneTruth truth) = Small(7);
        var settings = new AnalysisSettings { GivenCorners = truth.Corners, CornersExact = true, WithPicture = false };
        Console.WriteLine($"{Probe.Machine}; {count} measures of {truth.Description}");
        int warm = Math.Max(20, count / 10);
        double start = 0;
        for (int i = 0; i < count; i++)
        {
            if (Probe.Measure(jpeg, truth.Grid, settings).Outcome == "not-measurable") throw new InvalidOperationException("the bench's photo was refused");
            if (i + 1 == warm) start = Probe.SettledMegabytes();
            if ((i + 1) % Math.Max(1, count / 10) == 0) Console.WriteLine($"after {i + 1,5}: {Probe.SettledMegabytes(),7:0.0} MB");
        }
        Console.WriteLine($"growth from measure {warm} to {count}: {Probe.SettledMegabytes() - start:0.0} MB (wanted: under 20)");
        return 0;
    }

    /// <remarks>
    /// batch [photos]: 12 different small blocks in turn, on one core and on two, each in processes of their own that take turns. On one core means that
    /// the runtime sees no other: one photo alone would else use both.
    /// </remarks>
    public static int Batch(string[] args)
    {
        if (args is ["on", string on, string photos]) return BatchOn(int.Parse(on), int.Parse(photos));
        int count = args.Length > 0 ? int.Parse(args[0]) : 60;
        Console.WriteLine($"{Probe.Machine}; {count} photos a process");
        double[] best = [0, 0];
        for (int round = 0; round < 2; round++)
            foreach (int cores in (int[])[1, 2])
            {
                var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true };
                foreach (string word in (string[])[typeof(MemoryBench).Assembly.Location, "batch", "on", $"{cores}", $"{count}"]) start.ArgumentList.Add(word);
                start.Environment["DOTNET_PROCESSOR_COUNT"] = $"{cores}";
                using Process child = Process.Start(start)!;
                string said = child.StandardOutput.ReadToEnd();
                child.WaitForExit();
                Console.Write(said);
                best[cores - 1] = Math.Max(best[cores - 1], double.Parse(said.Split(' ')[2], System.Globalization.CultureInfo.InvariantCulture));
            }
        Console.WriteLine($"two cores against one: {best[1] / best[0]:0.00} times (wanted: 1.8 on an idle machine of two cores)");
        return 0;
    }

    private static int BatchOn(int cores, int count)
    {
        var photos = Enumerable.Range(0, 12).Select(i => Small(100 + i)).ToList();
        OpenCvSharp.Cv2.SetNumThreads(1);
        var settled = new List<double>();
        var clock = new Stopwatch();
        double after10 = 0;
        for (int done = 0; done < count;)
        {
            int next = Math.Min(count, done + 10);
            clock.Start();
            Parallel.For(done, next, new ParallelOptions { MaxDegreeOfParallelism = cores }, i => One(photos[i % photos.Count]));
            clock.Stop();
            done = next;
            settled.Add(Probe.SettledMegabytes());
            // What is compiled and first touched in the first ten is no part of the throughput.
            if (done == 10) (after10, clock) = (settled[^1], new Stopwatch());
        }
        Console.WriteLine(System.FormattableString.Invariant($"{cores} {(cores == 1 ? "core" : "cores")}: {(count - 10) / clock.Elapsed.TotalSeconds:0.00} photos a second; memory after 10, 20 ... photos {string.Join(", ", settled.Select(m => $"{m:0}"))} MB: {100 * (settled[^1] / after10 - 1):+0.0;-0.0} % (wanted: within 10 %)"));
        return 0;
    }

    /// <remarks>peak [megapixels ...]: the sample made larger, each size in a process of its own; reading at half size included.</remarks>
    public static int Peak(string[] args)
    {
        int[] sizes = args.Length > 0 ? [.. args.Select(int.Parse)] : [12, 48, 100, 192];
        using OpenCvSharp.Mat photo = OpenCvSharp.Cv2.ImRead(Path.Combine(Probe.Root(), "testimages", "sample.jpg"));
        Console.WriteLine($"{Probe.Machine}; decode to picture, peak memory of the process (wanted: 350 MB for 12, 900 MB for 48 megapixels)");
        foreach (int mega in sizes)
        {
            double factor = Math.Sqrt(mega * 1e6 / ((double)photo.Cols * photo.Rows));
            string file = Path.Combine(Path.GetTempPath(), $"peak-{mega}-{Environment.ProcessId}.jpg");
            using (var resized = new OpenCvSharp.Mat())
            {
                OpenCvSharp.Cv2.Resize(photo, resized, new OpenCvSharp.Size((int)(photo.Cols * factor / 2) * 2, (int)(photo.Rows * factor / 2) * 2), 0, 0, OpenCvSharp.InterpolationFlags.Cubic);
                OpenCvSharp.Cv2.ImWrite(file, resized, new OpenCvSharp.ImageEncodingParam(OpenCvSharp.ImwriteFlags.JpegQuality, 90));
            }
            var start = new ProcessStartInfo("dotnet");
            foreach (string word in (string[])[typeof(MemoryBench).Assembly.Location, "speed", "one", file, "203.2", "triangle:25.4"]) start.ArgumentList.Add(word);
            using (Process child = Process.Start(start)!) child.WaitForExit();
            File.Delete(file);
        }
        return 0;
    }

    private static void One((byte[] Jpeg, SceneTruth Truth) photo) =>
        Probe.Measure(photo.Jpeg, photo.Truth.Grid, new AnalysisSettings { GivenCorners = photo.Truth.Corners, CornersExact = true, WithPicture = false });

    private static (byte[] Jpeg, SceneTruth Truth) Small(int seed)
    {
        SyntheticPhoto photo = SceneRenderer.Render(SceneSettings.Random(seed, Tier.Easy, sideMm: 110));
        return (photo.ToJpeg(), photo.Truth);
    }
}
