using System.IO.Compression;
using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Analyzer.Planning;

namespace Analyzer.Web.Tests;

/// <summary>Plan, compare, log and class over the wire: the same rooms as the commands, so only the way to them is checked here.</summary>
public sealed class PracticeTests(Running running) : IClassFixture<Running>
{
    [Fact]
    public async Task Plan_IsThePlanningRoomsOwn_AndAPhotoCanBeMeasuredAgainstIt()
    {
        const string ask = "size=80mm&grid=triangle:10mm&units=mm";
        JsonElement view = await running.Client.GetFromJsonAsync<JsonElement>("/api/plan?" + ask);
        string json = await running.Client.GetStringAsync("/plan/file/plan.json?" + ask);
        StitchPlan plan = PlanFile.Read(json);
        Assert.Equal(plan.LineOrder.Count, view.GetProperty("steps").EnumerateArray().Count(s => s.GetProperty("kind").GetString() == "line"));
        Assert.Equal(plan.Grid.Lines.Count, view.GetProperty("lines").GetArrayLength());

        using HttpResponseMessage kept = await running.Client.SendAsync(running.Post("/api/plans?" + ask));
        string id = (await kept.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetString()!;
        JsonElement grid = await running.Client.GetFromJsonAsync<JsonElement>($"/api/grid?size=any&grid=plan:{id}");
        Assert.Equal(plan.Grid.Lines.Count, grid.GetProperty("lines").GetArrayLength());
        Assert.Contains("plan:" + id, await running.Client.GetStringAsync("/?plan=" + id), StringComparison.Ordinal);
        Assert.NotEqual(HttpStatusCode.BadRequest, (await running.Upload(Running.PhotoBytes, choice: $"size=any&grid=plan:{id}")).StatusCode);

        using var zip = new ZipArchive(await running.Client.GetStreamAsync("/plan/file/my-plan.zip?" + ask));
        Assert.Equal(["path.html", "path.pdf", "path.svg", "plan.json", "steps.txt", "summary.html", "template.pdf", "template.svg"], zip.Entries.Select(e => e.FullName).Order());
    }

    [Theory]
    [InlineData("size=8in&grid=triangle:1in&rate=fast", "stitches a minute")]
    [InlineData("size=59in&grid=square:4mm", "lines")]
    [InlineData("size=8in&grid=square:1in&middle=across", "diamonds")]
    [InlineData("size=8in&grid=plan:0123", "plan")]
    [InlineData("size=8in&grid=lines:straight", "angle")]
    public async Task Plan_OfAnImpossibleWish_SaysWhatIsWrong(string ask, string word)
    {
        using HttpResponseMessage answer = await running.Client.GetAsync("/api/plan?" + ask);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        Assert.Contains(word, await Running.Detail(answer), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Block_IsLoggedOnce_ComparedWithItself_ExportedAndImported()
    {
        string id = await running.SampleBlock();
        string who = "pair " + id[..6];
        Assert.Equal(HttpStatusCode.OK, (await running.Log(id, who)).StatusCode);
        using HttpResponseMessage twice = await running.Log(id, who);
        Assert.Equal(HttpStatusCode.Conflict, twice.StatusCode);
        Assert.Contains("already", await Running.Detail(twice), StringComparison.Ordinal);

        string log = await running.Client.GetStringAsync("/log?who=" + Uri.EscapeDataString(who));
        Assert.Contains(who, log, StringComparison.Ordinal);
        // The session and the progress page in either unit.
        string session = System.Text.RegularExpressions.Regex.Match(log, "href=\"(/log/[0-9]+)\"").Groups[1].Value;
        string progress = "/log/progress?who=" + Uri.EscapeDataString(who);
        Assert.Matches(@"\d mm\b", log);
        Assert.DoesNotMatch(@"\d in\b", log);
        string listInInches = await running.Client.GetStringAsync("/log?units=in&who=" + Uri.EscapeDataString(who));
        Assert.Matches(@"\d in\b", listInInches);
        // The unit goes along to the session and the progress.
        Assert.Contains(session + "?units=in", listInInches, StringComparison.Ordinal);
        Assert.Contains("&amp;units=in\">Progress", listInInches, StringComparison.Ordinal);
        Assert.Matches(@"\d mm\b", await running.Client.GetStringAsync(session));
        foreach (string page in new[] { "/log?units=in", session + "?units=in", progress + "&units=in" })
        {
            string inches = await running.Client.GetStringAsync(page);
            Assert.Contains("Show in mm", inches, StringComparison.Ordinal);
            Assert.DoesNotMatch(@"\d mm\b", inches);
        }
        Assert.Matches(@"\d in\b", await running.Client.GetStringAsync(session + "?units=in"));
        // Both photos are on the bench, so they lie under the slider; lengths in inches when inches are chosen.
        string pair = await running.Client.GetStringAsync($"/compare/view?before=b-{id}&after=b-{id}&units=in");
        Assert.Contains("data:image/", pair, StringComparison.Ordinal);
        Assert.Matches(@"\d in\b", pair);
        Assert.DoesNotMatch(@"\d mm\b", pair);
        JsonElement compared = await running.Client.GetFromJsonAsync<JsonElement>($"/compare/compare.json?before=b-{id}&after=b-{id}");
        Assert.Equal("stitch-comparison/1", compared.GetProperty("schema").GetString());
        Assert.All(compared.GetProperty("rows").EnumerateArray().Where(r => r.GetProperty("difference").ValueKind == JsonValueKind.Number), r => Assert.Equal(0, r.GetProperty("difference").GetDouble(), 9));

        byte[] zip = await running.Client.GetByteArrayAsync("/log/export.zip");
        using HttpResponseMessage imported = await running.Client.SendAsync(running.Post("/api/log/import", new ByteArrayContent(zip)));
        Assert.Contains("0 of", (await imported.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("words").GetString(), StringComparison.Ordinal);
        using HttpResponseMessage damaged = await running.Client.SendAsync(running.Post("/api/log/import", new ByteArrayContent("no zip"u8.ToArray())));
        Assert.Equal(HttpStatusCode.Conflict, damaged.StatusCode);
        Assert.DoesNotContain(running.TempRoot, await Running.Detail(damaged), StringComparison.Ordinal);

        using HttpResponseMessage forgotten = await running.Client.SendAsync(running.Post("/api/log/forget", JsonContent.Create(new { who })));
        Assert.Equal(HttpStatusCode.OK, forgotten.StatusCode);
        Assert.Contains("holds nothing", await running.Client.GetStringAsync("/log?who=" + Uri.EscapeDataString(who)), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Class_GoesFromPhotosToSheets_AndNamesWhatCannotBeMeasured()
    {
        string id = await running.SmallClass();
        string page = await running.Client.GetStringAsync("/class/" + id);
        Assert.Contains("ann &lt;b&gt;", page.Replace("&#60;", "&lt;", StringComparison.Ordinal), StringComparison.Ordinal);
        // The file that cannot be measured is named, and named once.
        Assert.Equal(2, page.Split("note.jpg").Length);
        Assert.Contains("your block", (await running.Client.GetStringAsync($"/class/{id}/sheet/1")).ToLowerInvariant(), StringComparison.Ordinal);
        using var zip = new ZipArchive(await running.Client.GetStreamAsync($"/class/{id}/class.zip"));
        Assert.Contains(zip.Entries, e => e.FullName == "class.html");
        Assert.Contains("person,photo", await running.Client.GetStringAsync($"/class/{id}/class.csv"), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NoContent, (await running.Client.SendAsync(running.Post($"/api/class/{id}/remove"))).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await running.Client.GetAsync("/class/" + id)).StatusCode);
    }

    [Fact]
    public async Task Report_OpenedFromAFile_IsRead_AndWhatIsNoneIsRefused()
    {
        string id = await running.SampleBlock();
        byte[] report = await running.Client.GetByteArrayAsync($"/block/{id}/report.json");
        using HttpResponseMessage opened = await running.Client.SendAsync(running.Post("/api/reports?name=mine", new ByteArrayContent(report)));
        string key = (await opened.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("key").GetString()!;
        Assert.Equal(HttpStatusCode.OK, (await running.Client.GetAsync($"/compare/view?before={key}&after=b-{id}")).StatusCode);
        using HttpResponseMessage refused = await running.Client.SendAsync(running.Post("/api/reports?name=x", new ByteArrayContent("{}"u8.ToArray())));
        Assert.Equal(HttpStatusCode.BadRequest, refused.StatusCode);
    }
}
