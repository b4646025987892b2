using System.Diagnostics;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Reporting;
using Analyzer.Testing;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Bench;

/// <summary>Time of each stage against decoding the same JPEG in the same process, growth with pixels and with lines, and the plain way beside it.</summary>
/// <remarks>speed [N] [stages] [pixels] [lines] [plain]; without names all parts. speed one FILE SIZE-MM GRID tells one photo's time and peak memory.</remarks>
internal static class SpeedBench
{
    private const int RunsToWarmUp = 4;

    public static int Run(string[] args)
    {
        if (args is ["one", string file, string mm, string name]) return One(file, double.Parse(mm), name);
        int n = args.Length > 0 && int.TryParse(args[0], out int given) ? given : 5;
        bool Wanted(string part) => !args.Any(a => a is "stages" or "pixels" or "lines" or "plain") || args.Contains(part);
        string sample = Path.Combine(Probe.Root(), "testimages", "sample.jpg");
        byte[] jpeg = File.ReadAllBytes(sample);
        SceneTruth truth = TruthJson.Load(Path.ChangeExtension(sample, ".truth.json"));
        Console.WriteLine($"{Probe.Machine}; best and median of {n} after {RunsToWarmUp} runs to warm up, ms");
        double decode = Best(n, () => Decode(jpeg));
        if (Wanted("stages")) Stages(n, jpeg, truth.Grid);
        if (Wanted("pixels")) Pixels(n, jpeg, truth.Grid);
        if (Wanted("lines")) Lines(n);
        if (Wanted("plain")) Plain(n, jpeg, truth, decode);
        return 0;
    }

    private static void Stages(int n, byte[] jpeg, IntendedGrid grid)
    {
        var reports = new List<AccuracyReport>();
        var settings = new AnalysisSettings { WithPicture = false };
        // A young process still compiles beside its work, which takes a fifth of a run's time and varies: what is told is the time of a process that has come to rest.
        for (int i = 0; i < RunsToWarmUp; i++) Probe.Measure(jpeg, grid, settings);
        // Decoding and measuring take turns, so that other load strikes both alike.
        var decode = new List<double>();
        double[] all = Probe.Times(n, () =>
        {
            decode.AddRange(Probe.Times(1, () => Decode(jpeg)));
            reports.Add(Probe.Measure(jpeg, grid, settings));
        });
        decode.Sort();
        Console.WriteLine("\n| stage | best | median | times the decoding (best) |\n| --- | --- | --- | --- |");
        Console.WriteLine($"| decode the JPEG | {decode[0]:0} | {decode[n / 2]:0} | 1.0 |");
        foreach (string stage in reports[0].StageTimes.Select(s => s.Stage))
        {
            double[] times = [.. reports.Select(r => r.StageTimes.First(s => s.Stage == stage).Milliseconds).Order()];
            Console.WriteLine($"| {stage} | {times[0]:0} | {times[n / 2]:0} | {times[0] / decode[0]:0.0} |");
        }
        double[] sums = [.. reports.Select(r => r.StageTimes.Sum(s => s.Milliseconds)).Order()];
        Console.WriteLine($"| decode to deviations | {sums[0]:0} | {sums[n / 2]:0} | {sums[0] / decode[0]:0.0} (wanted: 4) |");
        for (int i = 0; i < RunsToWarmUp; i++) WithFiles(jpeg, grid);
        double[] full = Probe.Times(n, () => WithFiles(jpeg, grid));
        Console.WriteLine($"| with all report files | {full[0]:0} | {full[n / 2]:0} | {full[0] / decode[0]:0.0} (wanted: 10) |");
    }

    private static void WithFiles(byte[] jpeg, IntendedGrid grid)
    {
        using Photo photo = PhotoReader.Read(jpeg, "bench.jpg");
        AnalysisOutcome outcome = new BlockAnalyzer().Analyze(photo, grid, new AnalysisSettings { WithPicture = true });
        ReportWriter.Render(outcome.Report, outcome.Picture, ReportOptions.Default);
    }

    private static void Pixels(int n, byte[] jpeg, IntendedGrid grid)
    {
        Console.WriteLine("\n| megapixels | decode | decode to deviations | per megapixel | lines measured |\n| --- | --- | --- | --- | --- |");
        using Mat photo = Cv2.ImDecode(jpeg, ImreadModes.Color);
        foreach (int mega in (int[])[3, 6, 12, 24, 48])
        {
            double factor = Math.Sqrt(mega * 1e6 / ((double)photo.Cols * photo.Rows));
            using var resized = new Mat();
            Cv2.Resize(photo, resized, new Size(photo.Cols * factor, photo.Rows * factor), 0, 0, factor < 1 ? InterpolationFlags.Area : InterpolationFlags.Cubic);
            Cv2.ImEncode(".jpg", resized, out byte[] bytes, new ImageEncodingParam(ImwriteFlags.JpegQuality, 90));
            double decode = Best(n, () => Decode(bytes));
            AccuracyReport? report = null;
            double whole = Best(n, () => report = Probe.Measure(bytes, grid, new AnalysisSettings { WithPicture = false }));
            Console.WriteLine($"| {mega} | {decode:0} | {whole:0} | {whole / mega:0} | {report!.Lines.Count(l => l.Status == "measured")}/{report.Lines.Count} |");
        }
    }

    private static void Lines(int n)
    {
        Console.WriteLine("\n| lines | decode to deviations | per line | lines measured |\n| --- | --- | --- | --- |");
        var size = new BlockSize(330, 330);
        foreach (int lines in (int[])[10, 20, 40, 80, 160, 320])
        {
            SceneSettings basis = SceneSettings.Random(7, Tier.Easy, sideMm: 110);
            double spacing = 330.0 / (lines / 2 + 1);
            SyntheticPhoto photo = SceneRenderer.Render(basis with { Size = size, Families = SceneSettings.NamedFamilies("square", spacing, size), Camera = SceneSettings.Framing(size, 8, 25) });
            byte[] jpeg = photo.ToJpeg();
            AccuracyReport? report = null;
            double whole = Best(n, () => report = Probe.Measure(jpeg, photo.Truth.Grid, new AnalysisSettings { WithPicture = false, GivenCorners = photo.Truth.Corners, CornersExact = true }));
            Console.WriteLine($"| {report!.Lines.Count} | {whole:0} | {whole / report.Lines.Count:0} | {report.Lines.Count(l => l.Status == "measured")}/{report.Lines.Count} |");
        }
    }

    private static void Plain(int n, byte[] jpeg, SceneTruth truth, double decode)
    {
        Console.WriteLine("\n| way (true corners given) | time, best | times the decoding | lines found | error median mm | p95 mm |\n| --- | --- | --- | --- | --- | --- |");
        foreach (bool ridge in (bool[])[false, true])
        {
            (double[] ErrorsMm, double LinesFound) got = ([], 0);
            double time = Best(n, () => got = PlainWay.Measure(jpeg, truth, ridge));
            Console.WriteLine($"| {(ridge ? "Hessian ridge" : "adaptive threshold")}, probabilistic Hough | {time:0} | {time / decode:0.0} | {100 * got.LinesFound:0} % | {Quantile(got.ErrorsMm, 0.5)} | {Quantile(got.ErrorsMm, 0.95)} |");
        }
        AccuracyReport? report = null;
        double ours = Best(n, () => report = Probe.Measure(jpeg, truth.Grid, new AnalysisSettings { WithPicture = false, GivenCorners = truth.Corners, CornersExact = true }));
        var errors = new List<double>();
        for (int i = 0; i < truth.Lines.Count; i++)
        {
            Dictionary<int, double> real = truth.Lines[i].Samples.ToDictionary(s => (int)Math.Round(s.AlongMm), s => s.DeviationMm);
            foreach (LineSample s in report!.Lines[i].Samples)
                if (real.TryGetValue((int)Math.Round(s.AlongMm), out double at)) errors.Add(Math.Abs(s.DeviationMm - at));
        }
        errors.Sort();
        int stitched = truth.Lines.Count(l => !l.IsMissing);
        Console.WriteLine($"| this program | {ours:0} | {ours / decode:0.0} | {100.0 * report!.Lines.Count(l => l.Samples.Count > 0) / stitched:0} % | {Quantile(errors, 0.5)} | {Quantile(errors, 0.95)} |");
    }

    /// <summary>One photo in a process of its own: its peak memory is this photo's.</summary>
    private static int One(string file, double sideMm, string name)
    {
        string[] parts = name.Split(':');
        var size = new BlockSize(sideMm, sideMm);
        var grid = new IntendedGrid(size, SceneSettings.NamedFamilies(parts[0], double.Parse(parts[1]), size));
        byte[] bytes = File.ReadAllBytes(file);
        var clock = Stopwatch.StartNew();
        AccuracyReport report = Probe.Measure(bytes, grid, new AnalysisSettings { WithPicture = true }, PhotoReader.HalveFromPixels);
        Console.WriteLine($"{report.Photo!.WidthPx} x {report.Photo.HeightPx}: {report.Outcome}, {report.Lines.Count(l => l.Status == "measured")}/{report.Lines.Count} lines, {clock.Elapsed.TotalSeconds:0.00} s, peak {Probe.PeakMegabytes():0} MB");
        return 0;
    }

    private static void Decode(byte[] jpeg) => Cv2.ImDecode(jpeg, ImreadModes.Color | ImreadModes.IgnoreOrientation).Dispose();

    private static double Best(int n, Action action) => Probe.Times(n, action)[0];

    private static string Quantile(IReadOnlyList<double> sorted, double q) => sorted.Count == 0 ? "-" : $"{sorted[Math.Min(sorted.Count - 1, (int)(q * sorted.Count))]:0.000}";
}
