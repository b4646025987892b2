using System.Globalization;
using System.Text.Json;
using Analyzer.Core.Geometry;
using Microsoft.Playwright;
using UglyToad.PdfPig;

namespace Analyzer.Web.Tests.Browser;

/// <summary>The whole job as a person does it in a browser: by mouse, by keyboard alone, and on a small touch screen.</summary>
[Collection("browser")]
public sealed class WholeJobTests(BrowserRun browser)
{
    /// <summary>A corner drawn to the seam lies this near to the renderer's truth, px: the seam is about half a millimetre wide, some 4 px here.</summary>
    private const double NearPx = 4;

    [SkippableFact]
    public async Task PhotoDropped_CornersMoved_Measured_Logged_Compared_AndReportKept()
    {
        await using Tab tab = await browser.Open();
        IPage page = tab.Page;
        await page.GotoAsync("/");
        await Drop(page, "#drop", Running.PhotoBytes, "my block.jpg");
        Assert.Contains("my block.jpg", await tab["#chosen"].InnerTextAsync(), StringComparison.Ordinal);
        await tab["#go"].ClickAsync();
        await page.WaitForURLAsync("**/corners");

        await MoveCorners(tab);
        await tab.Screen("corners");
        await tab["#measure"].ClickAsync();
        await page.WaitForURLAsync("**/result");
        await LookAtTheResult(tab);
        await tab.Screen("result");

        await tab["#session-who"].FillAsync("tester");
        await tab["#session-minutes"].FillAsync("25");
        await tab["#session-form button[type=submit]"].ClickAsync();
        await Assertions.Expect(tab["#session-said"]).ToContainTextAsync("Saved in the log");
        await KeepTheReport(tab);

        await tab["a[href^='/compare?after=']"].ClickAsync();
        await tab["#before"].SelectOptionAsync(await tab["#before optgroup[label='In the practice log'] option"].First.GetAttributeAsync("value") ?? "");
        await tab["main button[type=submit]"].ClickAsync();
        // A block against itself: whatever is said, nothing may be called better or worse.
        await Assertions.Expect(tab[".paper .lead"]).ToContainTextAsync("no difference");
        Assert.Equal(0, await tab[".paper .verdict", "better"].CountAsync() + await tab[".paper .verdict", "worse"].CountAsync());
        await tab.Screen("compare-view");
        tab.HasNoComplaints();
    }

    /// <summary>By mouse far off and back to the seam, by keyboard a pixel and a tenth.</summary>
    private static async Task MoveCorners(Tab tab)
    {
        PhotoPoint truth = Running.Photo.Truth.Corners.TopLeft;
        PhotoPoint before = await Corner(tab, 0);
        LocatorBoundingBoxResult box = (await tab["#stage .corner"].First.BoundingBoxAsync())!;
        float x = box.X + box.Width / 2, y = box.Y + box.Height / 2;
        await tab.Page.Mouse.MoveAsync(x, y);
        await tab.Page.Mouse.DownAsync();
        string line = await GridLine(tab);
        await tab.Page.Mouse.MoveAsync(x + 4, y + 3, new MouseMoveOptions { Steps = 4 });
        await Assertions.Expect(tab["#lens"]).ToBeVisibleAsync();
        // At least four times as large as the photo is shown, and the intended lines follow before the mark is let go.
        double larger = await tab.Page.EvaluateAsync<double>("() => { const l = document.getElementById('lens'), s = document.getElementById('stage'); return l.clientWidth / l.viewBox.baseVal.width / (s.clientWidth / s.viewBox.baseVal.width); }");
        Assert.True(larger >= 3.99, $"the magnifier shows {larger:0.00} times");
        await Assertions.Expect(tab["#stage .grid-line"].First).Not.ToHaveAttributeAsync("x1", line);
        await tab.Page.Mouse.UpAsync();
        PhotoPoint dragged = await Corner(tab, 0);
        Assert.True(dragged.DistanceTo(before) > 1, "dragging did not move the mark");
        await tab["#snap"].ClickAsync();
        await Assertions.Expect(tab["#snap-words"]).ToContainTextAsync("drawn to the seam");
        PhotoPoint snapped = await Corner(tab, 0);
        Assert.True(snapped.DistanceTo(truth) < NearPx, $"the mark was drawn to {snapped}, the corner is at {truth}");

        await tab["#stage .corner"].First.FocusAsync();
        await tab.Page.Keyboard.PressAsync("ArrowRight");
        await tab.Page.Keyboard.PressAsync("Shift+ArrowLeft");
        PhotoPoint keyed = await Corner(tab, 0);
        Assert.Equal(0.9, keyed.X - snapped.X, 0.06);
        await tab.Page.Keyboard.PressAsync("Control+z");
        Assert.True((await Corner(tab, 0)).DistanceTo(snapped) < 0.06, "undo did not take the keys back");
        Assert.True(await tab["#stage .grid-line"].CountAsync() > 5);

        await tab.Page.Mouse.MoveAsync(x + 60, y + 60);
        double whole = await ViewWidth(tab);
        await tab.Page.Mouse.WheelAsync(0, -240);
        Assert.True(await ViewWidth(tab) < whole, "the wheel did not bring the photo closer");
        await tab["#whole"].ClickAsync();
        Assert.Equal(whole, await ViewWidth(tab), 3);
    }

    private static async Task<string> GridLine(Tab tab) => (await tab["#stage .grid-line"].First.GetAttributeAsync("x1"))!;

    private static Task<double> ViewWidth(Tab tab) => tab.Page.EvaluateAsync<double>("() => document.getElementById('stage').viewBox.baseVal.width");

    private static async Task LookAtTheResult(Tab tab)
    {
        await tab["#picture .stitched"].First.WaitForAsync(new LocatorWaitForOptions { State = WaitForSelectorState.Attached });
        string id = (await tab["#lines tbody tr"].First.GetAttributeAsync("data-line"))!;
        // Off the crossings, a third along the line.
        JsonElement at = await tab.Page.EvaluateAsync<JsonElement>("""
            () => { const t = document.querySelector('#picture .touch'), p = t.getPointAtLength(t.getTotalLength() * 0.21), m = t.getScreenCTM(); return { x: p.x * m.a + m.e, y: p.y * m.d + m.f }; }
            """);
        await tab["#picture"].ScrollIntoViewIfNeededAsync();
        at = await tab.Page.EvaluateAsync<JsonElement>("""
            () => { const t = document.querySelector('#picture .touch'), p = t.getPointAtLength(t.getTotalLength() * 0.21), m = t.getScreenCTM(); return { x: p.x * m.a + m.e, y: p.y * m.d + m.f }; }
            """);
        await tab.Page.Mouse.MoveAsync((float)at.GetProperty("x").GetDouble(), (float)at.GetProperty("y").GetDouble());
        await Assertions.Expect(tab["#detail-title"]).ToHaveTextAsync("Line " + id);
        await Assertions.Expect(tab["#wobble .trace"].First).ToBeVisibleAsync();
        await Assertions.Expect(tab["#detail-numbers"]).ToContainTextAsync("±");

        string path = (await tab["#picture .stitched"].First.GetAttributeAsync("d"))!;
        await tab["#larger"].FillAsync("20");
        Assert.NotEqual(path, await tab["#picture .stitched"].First.GetAttributeAsync("d"));

        await tab["#lines tbody tr"].Nth(1).Locator(".pick").ClickAsync();
        Assert.Equal(1, await tab["#picture g.chosen"].CountAsync());
        await tab["#only-family"].SelectOptionAsync("0");
        await Assertions.Expect(tab["#lines-shown"]).ToContainTextAsync("shown");
        await tab["#only-family"].SelectOptionAsync("");
        await tab["#lines th .sort", "Wobble"].ClickAsync();
        double[] sorted = [.. (await tab.Page.EvaluateAsync<double[]>("() => [...document.querySelectorAll('#lines tbody tr')].map(r => Number(r.cells[5].dataset.sort))"))!];
        Assert.Equal(sorted.OrderDescending(), sorted);

        await tab["#picture .node-touch"].Nth(2).DispatchEventAsync("click");
        await Assertions.Expect(tab["#closeup image"]).ToBeVisibleAsync();
        Assert.Equal(1, await tab["#crossings tr.chosen-row"].CountAsync());
        await tab["input[name=unit][value=in]"].CheckAsync();
        // No sentence stays behind in the other unit.
        Assert.DoesNotMatch(@"\d mm\b", string.Join(' ', await tab[".note.next, .drills, #lines"].AllInnerTextsAsync()));
        await Assertions.Expect(tab["h1 .len"]).ToContainTextAsync(" in");
        await tab["input[name=unit][value=mm]"].CheckAsync();
    }

    private static async Task KeepTheReport(Tab tab)
    {
        // The print view: words, picture and tables in full, nothing to press or fill in.
        await tab.Page.EmulateMediaAsync(new PageEmulateMediaOptions { Media = Media.Print });
        foreach (string hidden in new[] { ".top", ".steps-bar", "#result", ".filters", "#session-form", "a.file-link" })
            await Assertions.Expect(tab[hidden].First).ToBeHiddenAsync();
        foreach (string shown in new[] { "h1", "#picture", "#lines tbody tr >> nth=-1" }) await Assertions.Expect(tab[shown].First).ToBeVisibleAsync();
        Assert.Equal(0, await tab.Page.EvaluateAsync<int>("() => { const box = document.querySelector('#lines').closest('.scroll'); return box.scrollHeight - box.clientHeight; }"));
        await tab.Page.EmulateMediaAsync(new PageEmulateMediaOptions { Media = Media.Screen });

        IDownload pdf = await tab.Page.RunAndWaitForDownloadAsync(() => tab["a.file-link", "report.pdf"].ClickAsync());
        using (PdfDocument document = PdfDocument.Open(await pdf.PathAsync()))
            Assert.Contains("Stitch accuracy report", document.GetPage(1).Text, StringComparison.Ordinal);
        string html = await tab.Page.EvaluateAsync<string>("() => fetch(document.querySelector('a.file-link[href$=\"report.html\"]').href).then(a => a.text())");
        string kept = Path.Combine(Path.GetTempPath(), $"report-{Guid.NewGuid():N}.html");
        await File.WriteAllTextAsync(kept, html);
        try
        {
            // Opened from the disk as one opens a report that was kept.
            IPage report = await tab.Context.NewPageAsync();
            await report.GotoAsync(new Uri(kept).ToString());
            Assert.Contains("Your stitching lies typically", await report.Locator("h1").InnerTextAsync(), StringComparison.Ordinal);
            await report.CloseAsync();
        }
        finally
        {
            File.Delete(kept);
        }
    }

    [SkippableFact]
    public async Task KeyboardAlone_ReachesSampleResultCornersAndPlan()
    {
        await using Tab tab = await browser.Open();
        await tab.Page.GotoAsync("/");
        await TabTo(tab, "#open-sample");
        await tab.Page.Keyboard.PressAsync("Enter");
        await tab.Page.WaitForURLAsync("**/result");
        await tab["#picture .stitched"].First.WaitForAsync(new LocatorWaitForOptions { State = WaitForSelectorState.Attached });
        await TabTo(tab, "#larger");
        await tab.Page.Keyboard.PressAsync("ArrowRight");
        await Assertions.Expect(tab["#larger-word"]).ToHaveTextAsync("6 times");
        await TabTo(tab, "#lines .pick");
        await tab.Page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(tab["#detail-title"]).ToContainTextAsync("Line ");

        await tab.Page.GotoAsync(tab.Page.Url.Replace("/result", "/corners", StringComparison.Ordinal));
        await TabTo(tab, "#stage .corner");
        PhotoPoint before = await Corner(tab, 0);
        await tab.Page.Keyboard.PressAsync("ArrowDown");
        Assert.Equal(before.Y + 1, (await Corner(tab, 0)).Y, 0.06);
        await tab.Page.Keyboard.PressAsync("Control+z");
        await TabTo(tab, "#measure");
        await tab.Page.Keyboard.PressAsync("Enter");
        await tab.Page.WaitForURLAsync("**/result");

        await tab.Page.GotoAsync("/plan");
        await Assertions.Expect(tab["#plan-now"]).ToContainTextAsync("The whole path");
        await TabTo(tab, "#spacing-range");
        string title = await tab["#plan-title"].InnerTextAsync();
        await tab.Page.Keyboard.PressAsync("ArrowRight");
        await Assertions.Expect(tab["#plan-title"]).Not.ToHaveTextAsync(title);
        await TabTo(tab, "#back");
        await tab.Page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(tab["#plan-now"]).ToContainTextAsync("Step ");
        tab.HasNoComplaints();
    }

    [SkippableFact]
    public async Task SmallTouchScreen_SampleToLine_AndNoPageIsWiderThanTheScreen()
    {
        await using Tab tab = await browser.Open(360, 740, touch: true);
        await tab.OpenSample();
        await tab["#lines .pick"].First.TapAsync();
        await Assertions.Expect(tab["#detail-title"]).ToContainTextAsync("Line ");
        // Place, wobble and swing without scrolling sideways.
        Assert.True(await tab.Page.EvaluateAsync<int>("() => { const box = document.querySelector('#lines').closest('.scroll'); return box.scrollWidth - box.clientWidth; }") <= 0, "the table of lines is wider than the screen");
        string block = tab.Page.Url.Replace("/result", "", StringComparison.Ordinal);
        foreach (string path in new[] { "/", "/plan", "/phone", "/compare", "/log", "/class", block + "/corners", block + "/result" })
        {
            await tab.Page.GotoAsync(path);
            await tab.Page.WaitForLoadStateAsync(LoadState.NetworkIdle);
            if (path.EndsWith("/corners", StringComparison.Ordinal)) await Pinch(tab);
            int over = await tab.Page.EvaluateAsync<int>("() => document.documentElement.scrollWidth - document.documentElement.clientWidth");
            Assert.True(over <= 0, $"{path} is {over} px wider than the screen");
            await tab.Screen("small-" + (path.Split('/')[^1] is { Length: > 0 } name ? name : "start"));
        }
        tab.HasNoComplaints();
    }

    /// <summary>Two fingers moving apart bring the photo closer.</summary>
    private static async Task Pinch(Tab tab)
    {
        double before = await ViewWidth(tab);
        await tab.Page.EvaluateAsync("""
            () => {
              const stage = document.getElementById('stage'), box = stage.getBoundingClientRect(), x = box.left + box.width / 2, y = box.top + box.height / 2;
              stage.setPointerCapture = () => {};
              const tell = (kind, id, dx) => stage.dispatchEvent(new PointerEvent(kind, { pointerId: id, pointerType: 'touch', button: 0, clientX: x + dx, clientY: y, bubbles: true, cancelable: true }));
              tell('pointerdown', 11, -30); tell('pointerdown', 12, 30);
              for (let i = 1; i <= 10; i++) { tell('pointermove', 11, -30 - 3 * i); tell('pointermove', 12, 30 + 3 * i); }
              tell('pointerup', 11, -60); tell('pointerup', 12, 60);
            }
            """);
        double ratio = before / await ViewWidth(tab);
        Assert.True(ratio is > 1.7 and < 2.3, $"two fingers at twice their distance brought the photo {ratio:0.00} times closer");
        await tab["#whole"].ClickAsync();
    }

    [SkippableFact]
    public async Task PhotoPasted_OrChosen_IsTakenLikeOneDropped()
    {
        await using Tab tab = await browser.Open();
        await tab.Page.GotoAsync("/");
        await tab.Page.EvaluateAsync("""
            text => { const data = new DataTransfer(); data.items.add(new File([Uint8Array.from(atob(text), c => c.charCodeAt(0))], 'pasted.jpg', { type: 'image/jpeg' })); document.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true })); }
            """, Convert.ToBase64String(Running.PhotoBytes));
        await Assertions.Expect(tab["#chosen"]).ToContainTextAsync("pasted.jpg");
        await Assertions.Expect(tab["#thumb"]).ToBeVisibleAsync();
        await tab["#file"].SetInputFilesAsync(new FilePayload { Name = "chosen.jpg", MimeType = "image/jpeg", Buffer = Running.PhotoBytes });
        await Assertions.Expect(tab["#chosen"]).ToContainTextAsync("chosen.jpg");
        await tab["#go"].ClickAsync();
        await tab.Page.WaitForURLAsync("**/corners");
        tab.HasNoComplaints();
    }

    /// <summary>The path is sewn by itself; where less motion is wanted, each press goes one step and nothing moves.</summary>
    [SkippableFact]
    public async Task Plan_PlaysThePath_AndStepsWhereLessMotionIsWanted()
    {
        await using Tab moving = await browser.Open(), still = await browser.Open(still: true);
        foreach (Tab tab in new[] { moving, still })
        {
            await tab.Page.GotoAsync("/plan");
            await Assertions.Expect(tab["#plan-now"]).ToContainTextAsync("The whole path");
            await tab["#play"].ClickAsync();
            await Assertions.Expect(tab["#plan-now"]).ToContainTextAsync("Step ");
        }
        await Assertions.Expect(moving["#plan-now"]).Not.ToContainTextAsync("Step 1 ");
        await Task.Delay(1500);
        await Assertions.Expect(still["#plan-now"]).ToContainTextAsync("Step 1 ");
        await still["#play"].ClickAsync();
        await Assertions.Expect(still["#plan-now"]).ToContainTextAsync("Step 2 ");
        moving.HasNoComplaints();
        still.HasNoComplaints();
    }

    private static async Task TabTo(Tab tab, string selector)
    {
        for (int i = 0; i < 200; i++)
        {
            await tab.Page.Keyboard.PressAsync("Tab");
            if (await tab.Page.EvaluateAsync<bool>("s => document.activeElement.matches(s)", selector)) return;
        }
        Assert.Fail($"{selector} cannot be reached with Tab");
    }

    private static async Task<PhotoPoint> Corner(Tab tab, int index)
    {
        string at = (await tab["#stage .corner"].Nth(index).GetAttributeAsync("transform"))!;
        double[] p = [.. at["translate(".Length..^1].Split(' ').Select(v => double.Parse(v, CultureInfo.InvariantCulture))];
        return new PhotoPoint(p[0], p[1]);
    }

    private static async Task Drop(IPage page, string selector, byte[] bytes, string name)
    {
        IJSHandle data = await page.EvaluateHandleAsync("""
            ([text, name]) => { const data = new DataTransfer(); data.items.add(new File([Uint8Array.from(atob(text), c => c.charCodeAt(0))], name, { type: 'image/jpeg' })); return data; }
            """, new[] { Convert.ToBase64String(bytes), name });
        await page.DispatchEventAsync(selector, "drop", new { dataTransfer = data });
    }
}
