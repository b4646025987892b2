using Microsoft.Playwright;

namespace Analyzer.Web.Tests.Browser;

/// <summary>One workbench and one real browser for all tests that look at pages. Where no chromium is installed these tests are skipped.</summary>
public sealed class BrowserRun : IAsyncLifetime
{
    private static readonly string[] Names = ["chromium", "chromium-browser", "google-chrome"];

    private static readonly string[] Switches =
        ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];

    private IPlaywright? _playwright;
    private IBrowser? _browser;

    internal Running Workbench { get; } = new();

    public string Address => Workbench.Address.ToString().TrimEnd('/');

    /// <summary>Where screenshots of every page are kept, outside what is committed.</summary>
    public string Screens { get; } = Directory.CreateDirectory(Path.Combine(Root(), "artifacts", "web-pages")).FullName;

    public async Task InitializeAsync()
    {
        if (Chromium() is not { } path) return;
        await Workbench.InitializeAsync();
        // How long a page may take is no part of these tests; a busy machine is only waited for.
        Assertions.SetDefaultExpectTimeout(45_000);
        _playwright = await Playwright.CreateAsync();
        _browser = await _playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions { ExecutablePath = path, Args = Switches });
    }

    public async Task DisposeAsync()
    {
        if (_browser is null) return;
        await _browser.DisposeAsync();
        _playwright!.Dispose();
        await Workbench.DisposeAsync();
    }

    /// <summary>A page in a browsing context of its own. What its scripts complain about is collected.</summary>
    internal async Task<Tab> Open(int width = 1200, int height = 900, bool touch = false, bool still = false, string? address = null)
    {
        Skip.If(_browser is null, "chromium is not installed, so the pages are not looked at in a browser.");
        IBrowserContext context = await _browser.NewContextAsync(new BrowserNewContextOptions
        {
            ViewportSize = new ViewportSize { Width = width, Height = height },
            HasTouch = touch,
            IsMobile = touch,
            ReducedMotion = still ? ReducedMotion.Reduce : ReducedMotion.NoPreference,
            BaseURL = Address,
            AcceptDownloads = true,
        });
        context.SetDefaultTimeout(45_000);
        return new Tab(context, await context.NewPageAsync(), Screens, address ?? Address);
    }

    private static string? Chromium() =>
        (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).SelectMany(folder => Names.Select(name => Path.Combine(folder, name))).FirstOrDefault(File.Exists);

    private static string Root()
    {
        string folder = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(folder, "Analyzer.sln"))) folder = Path.GetDirectoryName(folder) ?? throw new DirectoryNotFoundException("The tests do not lie in the source tree.");
        return folder;
    }
}

/// <summary>An open page, and what its scripts or the content policy complained about.</summary>
internal sealed class Tab : IAsyncDisposable
{
    private readonly IBrowserContext _context;
    private readonly string _screens;
    private readonly List<string> _complaints = [];

    public Tab(IBrowserContext context, IPage page, string screens, string address)
    {
        (_context, Page, _screens, Address) = (context, page, screens, address);
        // Nothing is fetched from anywhere but the workbench itself.
        page.Request += (_, request) => { if (request.Url.StartsWith("http", StringComparison.Ordinal) && new Uri(request.Url).Authority != new Uri(address).Authority) _complaints.Add("fetched from elsewhere: " + request.Url); };
        page.PageError += (_, error) => _complaints.Add(error);
        // An answer that refuses something is logged by the browser as an error too; that is no complaint about the page.
        page.Console += (_, message) => { if (message.Type == "error" && !message.Text.StartsWith("Failed to load resource", StringComparison.Ordinal)) _complaints.Add(message.Text); };
    }

    public IPage Page { get; }

    public string Address { get; }

    public IBrowserContext Context => _context;

    public ILocator this[string selector] => Page.Locator(selector);

    /// <summary>Those of the selector that hold the text.</summary>
    public ILocator this[string selector, string text] => Page.Locator(selector, new PageLocatorOptions { HasText = text });

    public Task Screen(string name) => Page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(_screens, name + ".png"), FullPage = true });

    public void HasNoComplaints() => Assert.Empty(_complaints);

    /// <summary>The sample block up to its result.</summary>
    public async Task OpenSample()
    {
        await Page.GotoAsync("/");
        await this["#open-sample"].ClickAsync();
        await Page.WaitForURLAsync("**/result");
        await this["#picture .stitched"].First.WaitForAsync(new LocatorWaitForOptions { State = WaitForSelectorState.Attached });
    }

    public async ValueTask DisposeAsync() => await _context.DisposeAsync();
}

[CollectionDefinition("browser")]
public sealed class SharedBrowser : ICollectionFixture<BrowserRun>;
