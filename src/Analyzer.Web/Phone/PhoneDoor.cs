using System.Net;
using System.Security.Cryptography;
using System.Text;
using Analyzer.Web.Blocks;
using Analyzer.Web.Routes;
using Analyzer.Web.Safety;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace Analyzer.Web.Phone;

/// <summary>A server of its own in the home network that takes photos and gives nothing back: one code, one device, ten minutes.</summary>
internal sealed class PhoneDoor : IAsyncDisposable
{
    public static readonly TimeSpan Life = TimeSpan.FromMinutes(10);

    /// <summary>How many photos one code is good for.</summary>
    public const int MostPhotos = 8;

    /// <summary>So many wrong codes and the door shuts: someone is trying.</summary>
    private const int MostWrongCodes = 30;

    private const string DeviceCookie = "device";

    private readonly Workbench _workbench;
    private readonly BlockChoice _choice;
    private readonly string _code = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(16));
    private readonly DateTimeOffset _ends;
    private readonly Lock _gate = new();
    private readonly List<string> _blocks = [];
    private WebApplication? _app;
    private ITimer? _timer;
    private string? _device;
    private int _wrong, _photos;
    private bool _shut;

    private PhoneDoor(Workbench workbench, BlockChoice choice)
    {
        _workbench = workbench;
        _choice = choice;
        _ends = workbench.Options.Clock.GetUtcNow() + Life;
    }

    /// <summary>What the code leads to, such as http://192.168.1.5:49200/0123….</summary>
    public string Address { get; private set; } = "";

    public bool IsOpen => !_shut && _workbench.Options.Clock.GetUtcNow() < _ends;

    public int SecondsLeft => IsOpen ? (int)Math.Ceiling((_ends - _workbench.Options.Clock.GetUtcNow()).TotalSeconds) : 0;

    public bool HasDevice => _device is not null;

    /// <summary>Blocks made of the photos that came in, in their order.</summary>
    public IReadOnlyList<string> Blocks
    {
        get { lock (_gate) return [.. _blocks]; }
    }

    public static async Task<PhoneDoor> Open(Workbench workbench, BlockChoice choice, IPAddress address)
    {
        var door = new PhoneDoor(workbench, choice);
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions());
        builder.WebHost.UseKestrelCore().ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = 2 * workbench.Options.LargestPhoto;
            kestrel.Limits.RequestHeadersTimeout = TimeSpan.FromSeconds(15);
            kestrel.Limits.MaxRequestHeadersTotalSize = 16 << 10;
            kestrel.Limits.MaxConcurrentConnections = 16;
            kestrel.Listen(address, 0);
        });
        builder.Services.AddRoutingCore();
        builder.Services.AddSingleton<IHostLifetime, WorkbenchServer.NoLifetime>();
        WebApplication app = builder.Build();
        app.Use(Trouble.Guard);
        app.Use(door.Check);
        app.UseRouting();
        AssetRoutes.Map(app, "workbench.css", "phone.js", "shared.js", "icon.svg");
        app.MapGet("/{code}", door.Page);
        app.MapPost("/{code}/photo", door.Photo);
        app.MapFallback(context => Trouble.Answer(context, StatusCodes.Status404NotFound, "There is nothing at this address."));
        try
        {
            await app.StartAsync();
        }
        catch
        {
            await app.DisposeAsync();
            throw;
        }
        door._app = app;
        var uri = new Uri(app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First());
        door.Address = $"http://{address}:{uri.Port}/{door._code}";
        door._timer = workbench.Options.Clock.CreateTimer(_ => _ = door.DisposeAsync().AsTask(), null, Life, Timeout.InfiniteTimeSpan);
        return door;
    }

    private Task Check(HttpContext context, RequestDelegate next)
    {
        SameOriginGuard.PutHeaders(context);
        string host = $"{context.Connection.LocalIpAddress?.MapToIPv4()}:{context.Connection.LocalPort}";
        if (!string.Equals(context.Request.Host.Value, host, StringComparison.Ordinal))
            return Trouble.Answer(context, StatusCodes.Status421MisdirectedRequest, "This address is not the workbench's own; scan the code again.");
        string? origin = context.Request.Headers.Origin, site = context.Request.Headers["Sec-Fetch-Site"];
        bool isRead = HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method);
        if ((!string.IsNullOrEmpty(origin) && origin != "http://" + host) || (!isRead && site is not (null or "same-origin")))
            return Trouble.Answer(context, StatusCodes.Status403Forbidden, "Another site may not use this page.");
        if (!IsOpen)
            return Trouble.Answer(context, StatusCodes.Status410Gone, "This code has run out. Ask for a new one on the computer.");
        return next(context);
    }

    /// <summary>The upload page. The first device that opens it is the only one from then on.</summary>
    private Task Page(HttpContext context)
    {
        if (!IsCode(context)) return Wrong(context);
        string? secret = context.Request.Cookies[DeviceCookie];
        lock (_gate)
        {
            if (_device is null)
            {
                _device = secret = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(16));
                context.Response.Cookies.Append(DeviceCookie, secret, new CookieOptions { HttpOnly = true, SameSite = SameSiteMode.Strict, Path = "/", MaxAge = Life });
            }
        }
        if (!IsDevice(secret)) return Taken(context);
        return Answers.Html(context, PhonePage.Write(_code, _workbench.Options.LargestPhoto));
    }

    private async Task Photo(HttpContext context)
    {
        if (!IsCode(context))
        {
            await Wrong(context);
            return;
        }
        if (!IsDevice(context.Request.Cookies[DeviceCookie]))
        {
            await Taken(context);
            return;
        }
        if (Interlocked.Increment(ref _photos) > MostPhotos)
        {
            await Trouble.Answer(context, StatusCodes.Status429TooManyRequests, "This code was good for a few photos only; ask for a new one on the computer.");
            return;
        }
        TakenIn taken = await Intake.Photo(context, _workbench, context.Request.Query["name"].ToString(), _choice);
        if (taken.Job is null)
        {
            Interlocked.Decrement(ref _photos);
            await UploadRoutes.Tell(context, taken);
            return;
        }
        lock (_gate) _blocks.Add(taken.Job.Id);
        // The phone learns that it was taken, and nothing else.
        context.Response.StatusCode = StatusCodes.Status202Accepted;
        await context.Response.WriteAsJsonAsync(new { taken = true });
    }

    private bool IsCode(HttpContext context) => Same(_code, context.GetRouteValue("code") as string);

    private bool IsDevice(string? secret) => _device is { } device && Same(device, secret);

    private static bool Same(string own, string? given) =>
        given is { Length: > 0 and < 200 } && CryptographicOperations.FixedTimeEquals(Encoding.UTF8.GetBytes(own), Encoding.UTF8.GetBytes(given));

    private async Task Wrong(HttpContext context)
    {
        await Trouble.Answer(context, StatusCodes.Status404NotFound, "This code is not known. Scan the code on the computer again.");
        if (Interlocked.Increment(ref _wrong) >= MostWrongCodes) _shut = true;
    }

    private static Task Taken(HttpContext context) =>
        Trouble.Answer(context, StatusCodes.Status403Forbidden, "Another device uses this code already. Ask for a new code on the computer.");

    public async ValueTask DisposeAsync()
    {
        WebApplication? app;
        lock (_gate)
        {
            _shut = true;
            app = _app;
            _app = null;
        }
        if (_timer is { } timer) await timer.DisposeAsync();
        if (app is null) return;
        using (var patience = new CancellationTokenSource(TimeSpan.FromSeconds(1)))
            await app.StopAsync(patience.Token);
        await app.DisposeAsync();
    }
}
