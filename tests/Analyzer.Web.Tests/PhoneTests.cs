using System.Net;
using System.Net.Http.Json;
using System.Net.NetworkInformation;
using System.Text.Json;
using Analyzer.Web.Phone;

namespace Analyzer.Web.Tests;

/// <summary>The door for a phone: shut unless switched on; one code, one device, ten minutes, photos in and nothing out.</summary>
public sealed class PhoneTests(Running running) : IClassFixture<Running>
{
    private static HttpClient Device(Uri door) => new(new HttpClientHandler { AllowAutoRedirect = false, CookieContainer = new CookieContainer() }) { BaseAddress = door };

    private async Task<Uri> Open()
    {
        using HttpResponseMessage answer = await running.Client.SendAsync(running.Post("/api/phone/open", JsonContent.Create(new { size = "80mm", grid = Running.Photo.Truth.GridName })));
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        JsonElement state = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.True(state.GetProperty("open").GetBoolean());
        Assert.StartsWith("M", state.GetProperty("qr").GetString(), StringComparison.Ordinal);
        return new Uri(state.GetProperty("address").GetString()!);
    }

    private Task<HttpResponseMessage> Close() => running.Client.SendAsync(running.Post("/api/phone/close"));

    [Fact]
    public async Task Door_IsShutUntilSwitchedOn_AndAfterSwitchingOff()
    {
        Assert.False((await running.Client.GetFromJsonAsync<JsonElement>("/api/phone")).GetProperty("open").GetBoolean());
        Uri door = await Open();
        Assert.Contains(IPGlobalProperties.GetIPGlobalProperties().GetActiveTcpListeners(), l => l.Port == door.Port);
        await Close();
        Assert.DoesNotContain(IPGlobalProperties.GetIPGlobalProperties().GetActiveTcpListeners(), l => l.Port == door.Port);
    }

    [Fact]
    public async Task OneDevice_SendsAPhoto_ThatLiesOnTheBench_AndLearnsNothingElse()
    {
        Uri door = await Open();
        using HttpClient phone = Device(door);
        string page = await phone.GetStringAsync(door);
        Assert.DoesNotContain(running.Token, page, StringComparison.Ordinal);
        using HttpResponseMessage sent = await phone.PostAsync(door.AbsolutePath + "/photo?name=phone.jpg", new ByteArrayContent(Running.PhotoBytes));
        Assert.Equal(HttpStatusCode.Accepted, sent.StatusCode);
        Assert.Equal("{\"taken\":true}", await sent.Content.ReadAsStringAsync());
        JsonElement state = await running.Client.GetFromJsonAsync<JsonElement>("/api/phone");
        string id = Assert.Single(state.GetProperty("blocks").EnumerateArray()).GetString()!;
        Assert.False(state.TryGetProperty("address", out JsonElement told) && told.ValueKind == JsonValueKind.String, "the code is told again");
        Assert.Equal("corners", (await running.Settled(id)).GetProperty("state").GetString());

        foreach (string path in new[] { "/", "/plan", "/log", "/api/phone", "/api/grid?size=8in&grid=square:1in", $"/block/{id}/result", $"/block/{id}/photo.jpg", "/assets/start.js", "/api/blocks" })
            Assert.Equal(HttpStatusCode.NotFound, (await phone.GetAsync(path)).StatusCode);
        await Close();
    }

    [Fact]
    public async Task AnotherDevice_IsRefused_AndSoIsAWrongCode()
    {
        Uri door = await Open();
        using HttpClient first = Device(door), second = Device(door);
        Assert.Equal(HttpStatusCode.OK, (await first.GetAsync(door)).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await first.GetAsync(door)).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await second.GetAsync(door)).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await second.PostAsync(door.AbsolutePath + "/photo", new ByteArrayContent(Running.PhotoBytes))).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await second.GetAsync("/" + new string('0', 32))).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await second.PostAsync("/" + new string('0', 32) + "/photo", new ByteArrayContent(Running.PhotoBytes))).StatusCode);
        await Close();
    }

    [Fact]
    public async Task ForeignHostAndOrigin_AreRefusedAtTheDoorToo()
    {
        Uri door = await Open();
        using HttpClient phone = Device(door);
        await phone.GetAsync(door);
        using var host = new HttpRequestMessage(HttpMethod.Get, door);
        host.Headers.Host = "evil.example:" + door.Port;
        Assert.Equal(HttpStatusCode.MisdirectedRequest, (await phone.SendAsync(host)).StatusCode);
        using var origin = new HttpRequestMessage(HttpMethod.Post, door.AbsolutePath + "/photo") { Content = new ByteArrayContent(Running.PhotoBytes) };
        origin.Headers.Add("Origin", "http://evil.example");
        Assert.Equal(HttpStatusCode.Forbidden, (await phone.SendAsync(origin)).StatusCode);
        await Close();
    }

    [Fact]
    public async Task TenMinutes_AndTheCodeHasRunOut()
    {
        Uri door = await Open();
        using HttpClient phone = Device(door);
        Assert.Equal(HttpStatusCode.OK, (await phone.GetAsync(door)).StatusCode);
        running.Clock.Ahead += TimeSpan.FromMinutes(10) - TimeSpan.FromSeconds(20);
        Assert.Equal(HttpStatusCode.OK, (await phone.GetAsync(door)).StatusCode);
        running.Clock.Ahead += TimeSpan.FromSeconds(30);
        Assert.Equal(HttpStatusCode.Gone, (await phone.GetAsync(door)).StatusCode);
        Assert.False((await running.Client.GetFromJsonAsync<JsonElement>("/api/phone")).GetProperty("open").GetBoolean());
        await Close();
    }

    /// <summary>RFC 1918, section 3: the three private blocks, and their neighbours outside.</summary>
    [Theory]
    [InlineData("10.0.0.1", true)]
    [InlineData("172.16.0.1", true)]
    [InlineData("172.31.255.254", true)]
    [InlineData("192.168.1.20", true)]
    [InlineData("172.15.0.1", false)]
    [InlineData("172.32.0.1", false)]
    [InlineData("192.169.0.1", false)]
    [InlineData("8.8.8.8", false)]
    [InlineData("127.0.0.1", false)]
    [InlineData("::1", false)]
    public void Door_OpensOnPrivateAddressesOnly(string address, bool isPrivate) => Assert.Equal(isPrivate, PhoneDesk.IsPrivate(IPAddress.Parse(address)));
}
