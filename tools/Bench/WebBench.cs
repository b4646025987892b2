using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Pipeline;
using Analyzer.Vision.Photos;
using Analyzer.Web;
using Microsoft.Playwright;

namespace Analyzer.Bench;

/// <summary>
/// The workbench in a real browser: time from the dropped photo to the drawn overlay against measuring alone, script time of one redraw
/// while a corner is dragged (the browser's own performance timeline), and what the first page weighs.
/// </summary>
internal static class WebBench
{
    private const double MostRatio = 2, FrameMs = 16, FirstPageBytes = 100_000, FirstVisitMs = 5000;

    public static async Task<int> Run(string[] args)
    {
        CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
        int runs = args.Length > 0 && int.TryParse(args[0], out int given) ? Math.Clamp(given, 1, 20) : 3;
        if (Chromium() is not { } chromium)
        {
            Console.WriteLine("chromium is not installed, so nothing can be measured.");
            return 2;
        }
        string photo = Sample();
        using IPlaywright playwright = await Playwright.CreateAsync();
        await using IBrowser browser = await playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions
        {
            ExecutablePath = chromium,
            Args = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
        });
        string temp = Directory.CreateTempSubdirectory("workbench-bench-").FullName;
        try
        {
            await using WorkbenchServer server = await WorkbenchServer.Start(new WorkbenchOptions { SamplePhoto = photo, TempRoot = temp, LogPath = Path.Combine(temp, "log.db") });
            string address = server.Address.ToString();
            byte[] bytes = await File.ReadAllBytesAsync(photo);
            await Overlay(browser, address, bytes);
            double[] alone = new double[runs], whole = new double[runs];
            for (int i = 0; i < runs; i++)
            {
                alone[i] = Alone(bytes);
                whole[i] = await Overlay(browser, address, bytes);
            }
            double ratio = Median(whole) / Median(alone), first = await FirstVisit(browser, address);
            (double median, double p95, double worst, int count) = await Dragging(browser, address);
            (double page, int requests) = await FirstPage(browser, address);
            Console.WriteLine($"{Environment.ProcessorCount} cores, .NET {Environment.Version}, chromium {browser.Version}, photo {bytes.Length / 1e6:0.0} MB, {runs} runs");
            Row("measuring alone, in this process", $"{Median(alone):0} ms", "");
            Row("from the drop to the drawn overlay", $"{Median(whole):0} ms", "waiting for the person's press on Measure left out");
            Row("  against measuring alone", $"{ratio:0.00}", $"limit {MostRatio}: {Word(ratio <= MostRatio)}");
            Row("sample opened to result, one press", $"{first:0} ms", $"limit {FirstVisitMs:0}: {Word(first <= FirstVisitMs)}");
            Row("redraw while dragging, script", $"{median:0.0} / {p95:0.0} / {worst:0.0} ms", $"median / 95 % / worst of {count}; limit {FrameMs} at 95 %: {Word(p95 <= FrameMs)}");
            Row("first page before pictures", $"{page / 1000:0.0} kB", $"{requests} requests; limit {FirstPageBytes / 1000:0}: {Word(page <= FirstPageBytes)}");
            return ratio <= MostRatio && p95 <= FrameMs && page <= FirstPageBytes && first <= FirstVisitMs ? 0 : 1;
        }
        finally
        {
            Directory.Delete(temp, recursive: true);
        }
    }

    /// <summary>What the measure command does between reading the file and having the result.</summary>
    private static double Alone(byte[] bytes)
    {
        var size = new BlockSize(203.2, 203.2);
        var grid = new IntendedGrid(size, NamedGrids.Families("triangle", Length.FromInches(1), size)!);
        var clock = Stopwatch.StartNew();
        using Photo photo = PhotoReader.Read(bytes, "sample.jpg");
        new BlockAnalyzer().Analyze(photo, grid, new AnalysisSettings(), null, CancellationToken.None);
        return clock.Elapsed.TotalMilliseconds;
    }

    /// <summary>Photo dropped, block found, Measure pressed as soon as it can be, overlay drawn.</summary>
    private static async Task<double> Overlay(IBrowser browser, string address, byte[] bytes)
    {
        await using IBrowserContext context = await browser.NewContextAsync();
        IPage page = await context.NewPageAsync();
        await page.GotoAsync(address);
        IJSHandle data = await page.EvaluateHandleAsync("text => { const d = new DataTransfer(); d.items.add(new File([Uint8Array.from(atob(text), c => c.charCodeAt(0))], 'sample.jpg', { type: 'image/jpeg' })); return d; }", Convert.ToBase64String(bytes));
        var clock = Stopwatch.StartNew();
        await page.DispatchEventAsync("#drop", "drop", new { dataTransfer = data });
        await page.ClickAsync("#go");
        await page.WaitForURLAsync("**/corners", new PageWaitForURLOptions { WaitUntil = WaitUntilState.DOMContentLoaded, Timeout = 120_000 });
        await page.ClickAsync("#measure:enabled");
        await page.WaitForURLAsync("**/result", new PageWaitForURLOptions { WaitUntil = WaitUntilState.DOMContentLoaded, Timeout = 120_000 });
        await page.Locator("#picture .stitched[d^=M]").First.WaitForAsync(new LocatorWaitForOptions { State = WaitForSelectorState.Attached });
        return clock.Elapsed.TotalMilliseconds;
    }

    private static async Task<double> FirstVisit(IBrowser browser, string address)
    {
        await using IBrowserContext context = await browser.NewContextAsync();
        IPage page = await context.NewPageAsync();
        await page.GotoAsync(address);
        var clock = Stopwatch.StartNew();
        await page.ClickAsync("#open-sample");
        await page.Locator("#picture .stitched[d^=M]").First.WaitForAsync(new LocatorWaitForOptions { State = WaitForSelectorState.Attached, Timeout = 120_000 });
        return clock.Elapsed.TotalMilliseconds;
    }

    /// <summary>A corner is dragged in many small moves; each redraw leaves a measure named "redraw" in the performance timeline.</summary>
    private static async Task<(double Median, double P95, double Worst, int Count)> Dragging(IBrowser browser, string address)
    {
        await using IBrowserContext context = await browser.NewContextAsync(new BrowserNewContextOptions { ViewportSize = new ViewportSize { Width = 1200, Height = 1000 } });
        IPage page = await context.NewPageAsync();
        await page.GotoAsync(address);
        await page.ClickAsync("#open-sample");
        await page.WaitForURLAsync("**/result", new PageWaitForURLOptions { Timeout = 120_000 });
        await page.GotoAsync(page.Url.Replace("/result", "/corners", StringComparison.Ordinal), new PageGotoOptions { WaitUntil = WaitUntilState.NetworkIdle });
        LocatorBoundingBoxResult box = (await page.Locator("#stage .corner").First.BoundingBoxAsync())!;
        await page.Mouse.MoveAsync(box.X + box.Width / 2, box.Y + box.Height / 2);
        await page.Mouse.DownAsync();
        for (int i = 1; i <= 120; i++) await page.Mouse.MoveAsync(box.X + box.Width / 2 + 30 * (float)Math.Sin(i / 8.0), box.Y + box.Height / 2 + i / 4f);
        await page.Mouse.UpAsync();
        double[] times = [.. (await page.EvaluateAsync<double[]>("() => performance.getEntriesByName('redraw').map(e => e.duration)"))!.Order()];
        return times.Length == 0 ? throw new InvalidOperationException("Nothing was redrawn while dragging.") : (times[times.Length / 2], times[(int)(0.95 * (times.Length - 1))], times[^1], times.Length);
    }

    private static async Task<(double Bytes, int Requests)> FirstPage(IBrowser browser, string address)
    {
        await using IBrowserContext context = await browser.NewContextAsync();
        IPage page = await context.NewPageAsync();
        await page.GotoAsync(address, new PageGotoOptions { WaitUntil = WaitUntilState.NetworkIdle });
        JsonElement sum = await page.EvaluateAsync<JsonElement>("() => { const all = [...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')]; return { bytes: all.reduce((s, e) => s + e.transferSize, 0), count: all.length }; }");
        return (sum.GetProperty("bytes").GetDouble(), sum.GetProperty("count").GetInt32());
    }

    private static void Row(string what, string value, string note) => Console.WriteLine($"{what,-36} {value,-22} {note}".TrimEnd());

    private static string Word(bool kept) => kept ? "kept" : "NOT KEPT";

    private static double Median(double[] values) => values.Order().ElementAt(values.Length / 2);

    private static string Sample()
    {
        string folder = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(folder, "testimages", "sample.jpg"))) folder = Path.GetDirectoryName(folder) ?? throw new DirectoryNotFoundException("testimages/sample.jpg is not there.");
        return Path.Combine(folder, "testimages", "sample.jpg");
    }

    private static readonly string[] BrowserNames = ["chromium", "chromium-browser"];

    private static string? Chromium() =>
        (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).SelectMany(folder => BrowserNames.Select(name => Path.Combine(folder, name))).FirstOrDefault(File.Exists);
}
