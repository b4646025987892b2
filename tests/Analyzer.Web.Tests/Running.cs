using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;
using Analyzer.Testing;

namespace Analyzer.Web.Tests;

/// <summary>A running workbench on a free port with a small invented block as its sample, and a client as its own pages would act.</summary>
public sealed class Running : IAsyncLifetime
{
    /// <summary>Rendered once: 80 mm, triangles; seed and tier are arbitrary.</summary>
    private static readonly Lazy<SyntheticPhoto> Rendered = new(() => SceneRenderer.Render(SceneSettings.Random(7, Tier.Easy, 80)));

    private readonly string _root = Directory.CreateTempSubdirectory("workbench-tests-").FullName;
    private WorkbenchServer? _server;

    internal static SyntheticPhoto Photo => Rendered.Value;

    internal static byte[] PhotoBytes { get; } = Rendered.Value.ToJpeg();

    public string TempRoot => Path.Combine(_root, "temp");

    /// <summary>The workbench's clock, which a test may put forward.</summary>
    internal ShiftedClock Clock { get; } = new();

    internal WorkbenchServer Server => _server!;

    public HttpClient Client { get; private set; } = new();

    public string Token { get; private set; } = "";

    public Uri Address => _server!.Address;

    internal static string Grid => $"size=80mm&grid={Uri.EscapeDataString(Photo.Truth.GridName)}";

    public async Task InitializeAsync()
    {
        Directory.CreateDirectory(TempRoot);
        string sample = Path.Combine(_root, "sample.jpg");
        await File.WriteAllBytesAsync(sample, PhotoBytes);
        _server = await WorkbenchServer.Start(new WorkbenchOptions
        {
            SamplePhoto = sample,
            SampleSize = "80mm",
            SampleGrid = Photo.Truth.GridName,
            TempRoot = TempRoot,
            MostWaiting = 3,
            LargestPhoto = 2 << 20,
            LogPath = Path.Combine(_root, "log", "practice-log.db"),
            PhoneAddress = IPAddress.Loopback,
            Clock = Clock,
        });
        Client = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false }) { BaseAddress = _server.Address, Timeout = TimeSpan.FromSeconds(60) };
        string page = await Client.GetStringAsync("/");
        Token = Regex.Match(page, "name=\"workbench-token\" content=\"([^\"]+)\"").Groups[1].Value;
    }

    public async Task DisposeAsync()
    {
        Client.Dispose();
        if (_server is not null) await _server.DisposeAsync();
        Directory.Delete(_root, recursive: true);
    }

    public HttpRequestMessage Post(string path, HttpContent? content = null, bool withToken = true)
    {
        var request = new HttpRequestMessage(HttpMethod.Post, path) { Content = content ?? JsonContent.Create(new { }) };
        // A length instead of chunks: the body is short and known.
        if (request.Content is JsonContent) request.Content.LoadIntoBufferAsync().GetAwaiter().GetResult();
        if (withToken) request.Headers.Add("X-Workbench-Token", Token);
        return request;
    }

    public Task<HttpResponseMessage> Upload(byte[] photo, string name = "block.jpg", string? choice = null)
    {
        var content = new ByteArrayContent(photo);
        content.Headers.ContentType = new MediaTypeHeaderValue("application/octet-stream");
        return Client.SendAsync(Post($"/api/blocks?name={Uri.EscapeDataString(name)}&{choice ?? Grid}", content));
    }

    public static async Task<string> Id(HttpResponseMessage answer)
    {
        Assert.Equal(HttpStatusCode.Accepted, answer.StatusCode);
        return (await answer.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetString()!;
    }

    /// <summary>The sample block, measured.</summary>
    public async Task<string> SampleBlock()
    {
        string id = await Id(await Client.SendAsync(Post("/api/sample")));
        Assert.Equal("measured", (await Settled(id)).GetProperty("state").GetString());
        return id;
    }

    public Task<HttpResponseMessage> Log(string block, string who, bool again = false) =>
        Client.SendAsync(Post("/api/log", JsonContent.Create(new { who, date = "2026-03-14", minutes = "30", blockMinutes = "12", block, again })));

    /// <summary>A class of one block and one file that is no photo, measured to its end.</summary>
    public async Task<string> SmallClass()
    {
        string id = (await (await Client.SendAsync(Post("/api/class?" + Grid))).Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetString()!;
        foreach ((string person, string name, byte[] photo) in new[] { ("ann <b>", "first.jpg", PhotoBytes), ("bo", "note.jpg", "no picture"u8.ToArray()) })
            (await Client.SendAsync(Post($"/api/class/{id}/photos?person={Uri.EscapeDataString(person)}&name={name}", new ByteArrayContent(photo)))).EnsureSuccessStatusCode();
        await Id(await Client.SendAsync(Post($"/api/class/{id}/start")));
        for (int i = 0; i < 600; i++)
        {
            if ((await Client.GetFromJsonAsync<JsonElement>($"/api/class/{id}")).GetProperty("state").GetString() == "done") return id;
            await Task.Delay(100);
        }
        throw new TimeoutException("The class was worked on for more than a minute.");
    }

    /// <summary>Waits until nothing is being done with the block any more; gives its state.</summary>
    public async Task<JsonElement> Settled(string id)
    {
        for (int i = 0; i < 600; i++)
        {
            var state = await Client.GetFromJsonAsync<JsonElement>($"/api/blocks/{id}");
            if (state.GetProperty("state").GetString() != "working") return state;
            await Task.Delay(100);
        }
        throw new TimeoutException("The block was worked on for more than a minute.");
    }

    public static async Task<string> Detail(HttpResponseMessage answer) => (await answer.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("detail").GetString()!;
}

/// <summary>The system's clock, put forward.</summary>
internal sealed class ShiftedClock : TimeProvider
{
    public TimeSpan Ahead { get; set; }

    public override DateTimeOffset GetUtcNow() => base.GetUtcNow() + Ahead;
}
