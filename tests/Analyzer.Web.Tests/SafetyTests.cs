using System.Net;
using System.Net.Http.Json;
using System.Net.NetworkInformation;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Analyzer.Web.Tests;

/// <summary>What keeps other sites, other computers and hostile files out.</summary>
public sealed class SafetyTests(Running running) : IClassFixture<Running>
{
    [Fact]
    public void Workbench_ListensOnTheLoopbackAddressOnly()
    {
        IPEndPoint[] own = [.. IPGlobalProperties.GetIPGlobalProperties().GetActiveTcpListeners().Where(l => l.Port == running.Address.Port)];
        Assert.Equal([IPAddress.Loopback], own.Select(l => l.Address).Distinct());
    }

    [Theory]
    [InlineData("evil.example")]
    [InlineData("evil.example:PORT")]
    [InlineData("127.0.0.1")]
    [InlineData("127.0.0.1.evil.example:PORT")]
    [InlineData("192.168.0.7:PORT")]
    public async Task ForeignHost_IsRefused(string host)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, "/");
        request.Headers.Host = host.Replace("PORT", running.Address.Port.ToString(System.Globalization.CultureInfo.InvariantCulture), StringComparison.Ordinal);
        using HttpResponseMessage answer = await running.Client.SendAsync(request);
        Assert.Equal(HttpStatusCode.MisdirectedRequest, answer.StatusCode);
        Assert.DoesNotContain(running.Token, await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task OwnHost_ByEitherName_IsServed()
    {
        foreach (string name in new[] { "localhost", "127.0.0.1" })
        {
            using var request = new HttpRequestMessage(HttpMethod.Get, "/");
            request.Headers.Host = $"{name}:{running.Address.Port}";
            Assert.Equal(HttpStatusCode.OK, (await running.Client.SendAsync(request)).StatusCode);
        }
    }

    [Theory]
    [InlineData("http://evil.example")]
    [InlineData("null")]
    [InlineData("http://127.0.0.1:1")]
    [InlineData("https://localhost")]
    public async Task ForeignOrigin_IsRefusedEvenWithTheToken(string origin)
    {
        foreach (HttpRequestMessage request in new[] { running.Post("/api/sample"), new HttpRequestMessage(HttpMethod.Get, "/api/grid?size=8in&grid=square:1in") })
        {
            request.Headers.Add("Origin", origin);
            Assert.Equal(HttpStatusCode.Forbidden, (await running.Client.SendAsync(request)).StatusCode);
        }
    }

    [Fact]
    public async Task CrossSiteFetch_IsRefused_ButALinkMayOpenThePage()
    {
        Assert.Equal(HttpStatusCode.Forbidden, await Status("cross-site", "no-cors"));
        Assert.Equal(HttpStatusCode.OK, await Status("cross-site", "navigate"));
        Assert.Equal(HttpStatusCode.OK, await Status("same-origin", "cors"));

        async Task<HttpStatusCode> Status(string site, string mode)
        {
            using var request = new HttpRequestMessage(HttpMethod.Get, "/");
            request.Headers.Add("Sec-Fetch-Site", site);
            request.Headers.Add("Sec-Fetch-Mode", mode);
            return (await running.Client.SendAsync(request)).StatusCode;
        }
    }

    [Fact]
    public async Task EveryWrite_WithoutTheToken_IsRefused()
    {
        string id = await Running.Id(await running.Upload("no picture"u8.ToArray()));
        foreach (string path in new[] { "/api/sample", "/api/blocks?" + Running.Grid, $"/api/blocks/{id}/measure", $"/api/blocks/{id}/find", $"/api/blocks/{id}/snap", $"/api/blocks/{id}/stop", $"/api/blocks/{id}/remove",
            "/api/phone/open", "/api/phone/close", "/api/plans", "/api/reports", "/api/log", "/api/log/backup", "/api/log/import", "/api/log/1/remove", "/api/log/forget", "/api/class?" + Running.Grid, "/api/class/0/photos", "/api/class/0/start", "/api/class/0/stop", "/api/class/0/remove" })
        {
            using HttpRequestMessage without = running.Post(path, withToken: false), wrong = running.Post(path, withToken: false);
            wrong.Headers.Add("X-Workbench-Token", new string('0', 64));
            Assert.Equal(HttpStatusCode.Forbidden, (await running.Client.SendAsync(without)).StatusCode);
            Assert.Equal(HttpStatusCode.Forbidden, (await running.Client.SendAsync(wrong)).StatusCode);
        }
        Assert.Equal(HttpStatusCode.OK, (await running.Client.GetAsync($"/api/blocks/{id}")).StatusCode);
    }

    [Fact]
    public async Task EveryPage_HasAStrictPolicy_AndNeedsNothingInline()
    {
        string id = await Running.Id(await running.Client.SendAsync(running.Post("/api/sample")));
        await running.Settled(id);
        await running.Log(id, "me");
        string waiting = $"/block/{id}";
        var pages = new List<string> { "/", waiting };
        foreach (string early in pages) await Check(early);
        await running.Settled(id);
        foreach (string late in new[] { $"/block/{id}/corners", $"/block/{id}/result", "/nothing-here", "/plan", "/phone", "/compare", $"/compare/view?before=b-{id}&after=b-{id}", "/log", "/log/1", "/log/progress?who=me", "/class", "/class/0" }) await Check(late);

        async Task Check(string path)
        {
            using HttpRequestMessage request = new(HttpMethod.Get, path);
            request.Headers.Accept.ParseAdd("text/html");
            using HttpResponseMessage answer = await running.Client.SendAsync(request);
            string policy = answer.Headers.GetValues("Content-Security-Policy").Single();
            Assert.Contains("default-src 'none'", policy, StringComparison.Ordinal);
            Assert.DoesNotContain("unsafe", policy, StringComparison.Ordinal);
            Assert.Equal("nosniff", answer.Headers.GetValues("X-Content-Type-Options").Single());
            // The name of the SVG namespace looks like an address, but nothing is fetched by it.
            string page = (await answer.Content.ReadAsStringAsync()).Replace("xmlns='http://www.w3.org/2000/svg'", "", StringComparison.Ordinal);
            if (answer.StatusCode != HttpStatusCode.Found) Assert.Contains("<h1>", page, StringComparison.Ordinal);
            Assert.DoesNotMatch(new Regex(@"<style|\sstyle=|\son[a-z]+=|<script(?![^>]*\ssrc=)|https?://", RegexOptions.IgnoreCase), page);
        }
    }

    [Theory]
    [InlineData("<script>alert(1)</script>.jpg")]
    [InlineData("\"><img src=x onerror=alert(1)>.jpg")]
    public async Task HostileName_IsShownAsText(string name)
    {
        string id = await Running.Id(await running.Upload(Running.PhotoBytes, name));
        await running.Settled(id);
        await Running.Id(await running.Client.SendAsync(running.Post($"/api/blocks/{id}/measure", JsonContent.Create(new { corners = Running.Photo.Truth.Corners.ToArray().Select(p => new[] { p.X, p.Y }) }))));
        await running.Settled(id);
        // Its name goes along into the log too.
        using HttpResponseMessage saved = await running.Log(id, "namer", again: true);
        long session = (await saved.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetInt64();
        string broken = await Running.Id(await running.Upload("no picture"u8.ToArray(), name));
        await running.Settled(broken);
        foreach (string page in new[] { $"/block/{id}/corners", $"/block/{id}/result", $"/block/{id}/report.html", "/", $"/block/{broken}", "/compare", $"/compare/view?before=b-{id}&after=b-{id}", "/log", $"/log/{session}", "/log/progress?who=namer" })
        {
            string text = await running.Client.GetStringAsync(page);
            Assert.DoesNotContain("<script>", text, StringComparison.OrdinalIgnoreCase);
            Assert.DoesNotContain("<img src=x", text, StringComparison.OrdinalIgnoreCase);
        }
    }

    /// <summary>A report holds styles of its own, so it is shown in a sandbox where nothing runs and nothing is fetched.</summary>
    [Fact]
    public async Task StoredReport_IsShownInASandboxWithoutScript()
    {
        string id = await running.SampleBlock();
        using HttpResponseMessage answer = await running.Client.GetAsync($"/block/{id}/report.html");
        string policy = answer.Headers.GetValues("Content-Security-Policy").Single();
        Assert.Contains("sandbox", policy, StringComparison.Ordinal);
        Assert.Contains("default-src 'none'", policy, StringComparison.Ordinal);
        Assert.DoesNotContain("allow-scripts", policy, StringComparison.Ordinal);
        Assert.DoesNotContain("allow-same-origin", policy, StringComparison.Ordinal);
        Assert.DoesNotContain("script-src", policy, StringComparison.Ordinal);
    }

    /// <summary>The camera's name in the EXIF part (CIPA DC-008, tag 0x0110, Model) is text of whoever made the file.</summary>
    [Fact]
    public async Task HostileExifText_IsShownAsText()
    {
        const string evil = "<script>alert(1)</script>";
        string id = await Running.Id(await running.Upload(WithModel(Running.PhotoBytes, evil)));
        await running.Settled(id);
        await Running.Id(await running.Client.SendAsync(running.Post($"/api/blocks/{id}/measure", JsonContent.Create(new { corners = Running.Photo.Truth.Corners.ToArray().Select(p => new[] { p.X, p.Y }) }))));
        await running.Settled(id);
        Assert.Contains("alert(1)", await running.Client.GetStringAsync($"/block/{id}/report.json"), StringComparison.Ordinal);
        foreach (string page in new[] { $"/block/{id}/corners", $"/block/{id}/result", $"/block/{id}/report.html" })
            Assert.DoesNotContain("<script>alert", await running.Client.GetStringAsync(page), StringComparison.OrdinalIgnoreCase);
    }

    /// <summary>The JPEG with an EXIF part of one entry put behind its start marker.</summary>
    private static byte[] WithModel(byte[] jpeg, string model)
    {
        byte[] text = Encoding.ASCII.GetBytes(model + "\0");
        byte[] tiff = [.. "II*\0"u8, 8, 0, 0, 0, 1, 0, 0x10, 0x01, 2, 0, (byte)text.Length, 0, 0, 0, 26, 0, 0, 0, 0, 0, 0, 0, .. text];
        int length = 2 + 6 + tiff.Length;
        return [0xFF, 0xD8, 0xFF, 0xE1, (byte)(length >> 8), (byte)length, .. "Exif\0\0"u8, .. tiff, .. jpeg[2..]];
    }

    [Theory]
    [InlineData("../../../etc/passwd")]
    [InlineData("..\\..\\boot.ini")]
    [InlineData("CON\0.jpg")]
    public async Task HostileName_IsNoPath(string name)
    {
        await running.Settled(await Running.Id(await running.Upload(Running.PhotoBytes, name)));
        string[] files = [.. Directory.EnumerateFiles(running.TempRoot, "*", SearchOption.AllDirectories).Select(Path.GetFileName)!];
        Assert.All(files, file => Assert.Matches("^([0-9a-f]{32}\\.(upload|preview\\.jpg|job\\.json)|in-use)$", file));
    }

    [Fact]
    public async Task TooLargePhoto_IsRefused_WhetherItsLengthIsToldOrNot()
    {
        var big = new byte[(2 << 20) + 1];
        using HttpResponseMessage told = await running.Upload(big);
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, told.StatusCode);
        using HttpRequestMessage chunked = running.Post("/api/blocks?" + Running.Grid, new StreamContent(new MemoryStream(big)));
        chunked.Headers.TransferEncodingChunked = true;
        using HttpResponseMessage untold = await running.Client.SendAsync(chunked);
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, untold.StatusCode);
        Assert.Contains("too large", await Running.Detail(untold), StringComparison.Ordinal);
    }

    /// <summary>A PNG header that promises 30 000 x 30 000 pixels (PNG specification, 11.2.2 IHDR) and nothing behind it.</summary>
    [Fact]
    public async Task PixelBomb_IsRefusedByItsHeader()
    {
        byte[] png = [0x89, 0x50, 0x4E, 0x47, 13, 10, 26, 10, 0, 0, 0, 13, .. "IHDR"u8, 0, 0, 0x75, 0x30, 0, 0, 0x75, 0x30, 8, 2, 0, 0, 0, 0, 0, 0, 0];
        string id = await Running.Id(await running.Upload(png, "bomb.jpg"));
        JsonElement state = await running.Settled(id);
        Assert.Equal("failed", state.GetProperty("state").GetString());
        Assert.Contains("30000 x 30000", state.GetProperty("trouble").GetString(), StringComparison.Ordinal);
        string page = await running.Client.GetStringAsync($"/block/{id}");
        Assert.Contains("cannot be used", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task NoPicture_IsRefusedByItsContent_WhateverItsName()
    {
        string id = await Running.Id(await running.Upload(Encoding.ASCII.GetBytes("<html><script>alert(1)</script></html>"), "photo.jpg"));
        JsonElement state = await running.Settled(id);
        Assert.Equal("failed", state.GetProperty("state").GetString());
        Assert.Contains("not a picture", state.GetProperty("trouble").GetString(), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NotFound, (await running.Client.GetAsync($"/block/{id}/photo.jpg")).StatusCode);
    }

    [Theory]
    [InlineData("/assets/../Analyzer.Web.dll")]
    [InlineData("/assets/%2e%2e/%2e%2e/etc/passwd")]
    [InlineData("/block/..%2f..%2fetc/photo.jpg")]
    [InlineData("/block/00000000000000000000000000000000/report.json")]
    public async Task UnknownAddress_IsNotFound(string path) =>
        Assert.Equal(HttpStatusCode.NotFound, (await running.Client.GetAsync(path)).StatusCode);
}
