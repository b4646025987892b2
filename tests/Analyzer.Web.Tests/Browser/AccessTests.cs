using System.Net.Http.Json;
using System.Text.Json;
using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.PixelFormats;

namespace Analyzer.Web.Tests.Browser;

/// <summary>Every page is looked at by axe-core (rules of WCAG 2.2 A and AA among them): nothing serious, nothing critical.</summary>
[Collection("browser")]
public sealed class AccessTests(BrowserRun browser)
{
    [SkippableFact]
    public async Task EveryPage_HasNoSeriousViolationByAxe()
    {
        await using Tab tab = await browser.Open();
        Running workbench = browser.Workbench;
        await tab.OpenSample();
        string block = tab.Page.Url.Replace("/result", "", StringComparison.Ordinal), id = block.Split('/')[^1];
        await workbench.Log(id, "reader");
        await workbench.Log(id, "reader", again: true);
        string unusable = await Running.Id(await workbench.Upload("no picture"u8.ToArray()));
        await workbench.Settled(unusable);
        string classId = await workbench.SmallClass(), stoppedClass = await StoppedClass(workbench), refused = await Refused(workbench);
        var found = new List<string>();
        foreach ((string name, string path) in new[]
        {
            ("result", block + "/result"), ("corners-2", block + "/corners"), ("start", "/"), ("unusable", "/block/" + unusable), ("plan", "/plan"), ("phone", "/phone"),
            ("compare", "/compare"), ("compare-pair", $"/compare/view?before=b-{id}&after=b-{id}"), ("log", "/log"), ("session", "/log/1"), ("progress", "/log/progress?who=reader"),
            ("class", "/class"), ("class-stopped", "/class/" + stoppedClass), ("refused", "/block/" + refused + "/result"), ("log-inches", "/log?units=in"), ("class-result", "/class/" + classId), ("sheet", $"/class/{classId}/sheet/1"), ("not-there", "/nothing-here"), ("report", block + "/report.html"),
        })
        {
            await tab.Page.GotoAsync(path);
            await tab.Page.WaitForLoadStateAsync(LoadState.NetworkIdle);
            if (name == "result") await tab["#lines .pick"].First.ClickAsync();
            await tab.Page.EvaluateAsync("() => document.querySelectorAll('details').forEach(d => { d.open = true; })");
            if (name == "phone") await tab["#open-door"].ClickAsync();
            if (name == "phone") await Assertions.Expect(tab["#door-state"]).ToContainTextAsync("Waiting");
            // The report lies in a sandbox where no script runs, axe's neither; it is looked at from the disk below.
            if (name != "report") found.AddRange(await Serious(tab.Page, name));
            await tab.Screen(name);
            if (name != "phone") continue;
            // What the phone itself sees.
            await using Tab phone = await browser.Open(360, 740, touch: true, address: await tab["#door-address"].InnerTextAsync());
            await phone.Page.GotoAsync(phone.Address);
            found.AddRange(await Serious(phone.Page, "phone-upload"));
            await phone.Screen("phone-upload");
            phone.HasNoComplaints();
        }
        string kept = Path.Combine(Path.GetTempPath(), $"report-{Guid.NewGuid():N}.html");
        await File.WriteAllTextAsync(kept, (await workbench.Client.GetStringAsync(block + "/report.html")).Replace("http-equiv=\"Content-Security-Policy\"", "name=\"policy\"", StringComparison.Ordinal));
        try
        {
            await tab.Page.GotoAsync(new Uri(kept).ToString());
            found.AddRange(await Serious(tab.Page, "report.html"));
        }
        finally
        {
            File.Delete(kept);
        }
        await workbench.Client.SendAsync(workbench.Post("/api/phone/close"));
        Assert.True(found.Count == 0, string.Join('\n', found));
        tab.HasNoComplaints();
    }

    private static async Task<string> StoppedClass(Running workbench)
    {
        string id = (await (await workbench.Client.SendAsync(workbench.Post("/api/class?" + Running.Grid))).Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetString()!;
        (await workbench.Client.SendAsync(workbench.Post($"/api/class/{id}/photos?person=ann&name=a.jpg", new ByteArrayContent(Running.PhotoBytes)))).EnsureSuccessStatusCode();
        return id;
    }

    /// <summary>A photo of nothing: no block in it, and refused when it is measured all the same.</summary>
    private static async Task<string> Refused(Running workbench)
    {
        using var grey = new Image<Rgb24>(800, 600, new Rgb24(128, 128, 128));
        using var file = new MemoryStream();
        grey.SaveAsJpeg(file);
        string id = await Running.Id(await workbench.Upload(file.ToArray(), "grey.jpg"));
        await workbench.Settled(id);
        await Running.Id(await workbench.Client.SendAsync(workbench.Post($"/api/blocks/{id}/measure", JsonContent.Create(new { corners = new double[][] { [100, 100], [500, 100], [500, 500], [100, 500] }, exact = true }))));
        JsonElement state = await workbench.Settled(id);
        Assert.Equal("not-measurable", state.GetProperty("outcome").GetString());
        return id;
    }

    private static async Task<IEnumerable<string>> Serious(IPage page, string name)
    {
        AxeResult result = await page.RunAxe();
        Assert.NotEmpty(result.Passes);
        return result.Violations.Where(v => v.Impact is "serious" or "critical")
            .Select(v => $"{name}: {v.Id} ({v.Impact}): {v.Help}: {string.Join(" | ", v.Nodes.Take(3).Select(n => n.Html.Length > 160 ? n.Html[..160] : n.Html))}");
    }
}
