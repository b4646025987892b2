using System.Net;
using Analyzer.Web.Blocks;
using Analyzer.Web.Routes;
using Analyzer.Web.Safety;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace Analyzer.Web;

/// <summary>The local workbench: pages for the browser on this computer, and on this computer only.</summary>
public sealed class WorkbenchServer : IAsyncDisposable
{
    private readonly WebApplication _app;
    private readonly Workbench _workbench;

    private WorkbenchServer(WebApplication app, Workbench workbench, Uri address)
    {
        _app = app;
        _workbench = workbench;
        Address = address;
    }

    /// <summary>Where the workbench is, such as http://127.0.0.1:5178/.</summary>
    public Uri Address { get; }

    internal Workbench Workbench => _workbench;

    /// <summary>Begins to listen. An <see cref="IOException"/> means that the port is taken.</summary>
    public static async Task<WorkbenchServer> Start(WorkbenchOptions options)
    {
        // Nothing is read from the environment or from settings files: no variable can bind the workbench to another address.
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions());
        builder.WebHost.UseKestrelCore().ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            // Photos somewhat too large are read to their end and refused in words; beyond this the connection is cut.
            kestrel.Limits.MaxRequestBodySize = 4 * options.LargestPhoto;
            kestrel.Limits.RequestHeadersTimeout = TimeSpan.FromSeconds(15);
            kestrel.Limits.MaxRequestHeadersTotalSize = 16 << 10;
            kestrel.Listen(IPAddress.Loopback, options.Port);
        });
        builder.Services.AddRoutingCore();
        // Signals are the command's business; the host's own handling would swallow them.
        builder.Services.AddSingleton<IHostLifetime, NoLifetime>();
        WebApplication app = builder.Build();
        var workbench = new Workbench(options);
        try
        {
            app.Use(Trouble.Guard);
            app.Use(new SameOriginGuard(workbench.Token).Check);
            app.UseRouting();
            AssetRoutes.Map(app);
            PageRoutes.Map(app, workbench);
            UploadRoutes.Map(app, workbench);
            BlockRoutes.Map(app, workbench);
            PhoneRoutes.Map(app, workbench);
            PlanRoutes.Map(app, workbench);
            CompareRoutes.Map(app, workbench);
            LogRoutes.Map(app, workbench);
            ClassRoutes.Map(app, workbench);
            app.MapFallback(Trouble.NotFound);
            await app.StartAsync();
        }
        catch
        {
            await workbench.DisposeAsync();
            await app.DisposeAsync();
            throw;
        }
        string address = app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First();
        return new WorkbenchServer(app, workbench, new Uri(address));
    }

    public async ValueTask DisposeAsync()
    {
        _workbench.Queue.StopAll();
        using (var patience = new CancellationTokenSource(TimeSpan.FromSeconds(2)))
            await _app.StopAsync(patience.Token);
        await _app.DisposeAsync();
        await _workbench.DisposeAsync();
    }

    internal sealed class NoLifetime : IHostLifetime
    {
        public Task WaitForStartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

        public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;
    }
}
