using Analyzer.Web.Phone;
using Analyzer.Web.Plans;
using Analyzer.Web.Practice;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Blocks;

/// <summary>What the routes share: the blocks at hand, the queue of work, and the private folder.</summary>
internal sealed class Workbench : IAsyncDisposable
{
    public Workbench(WorkbenchOptions options)
    {
        Options = options;
        SamplePhoto = options.SamplePhoto ?? FindSample();
        Folder = PrivateFolder.Make(options.TempRoot, options.Clock.GetUtcNow());
        Blocks = new BlockStore(options.MostBlocks);
        Queue = new WorkQueue(options.MostWaiting);
        Uploads = new SemaphoreSlim(options.MostUploads);
        Log = new LogDesk(options.LogPath);
        Phone = new PhoneDesk(this);
        foreach ((string photo, UnfinishedNote note) in Folder.Left.OrderBy(l => l.Note.Since))
            if (note.ToJob(photo, Plans) is not { } job || !Blocks.TryAdd(job)) File.Delete(photo);
        foreach ((string path, ClassNote note) in Folder.LeftClasses.OrderBy(l => l.Note.Since))
            if (note.ToJob(path, Plans) is { } job && !Classes.TryAdd(job)) job.Forget();
    }

    public WorkbenchOptions Options { get; }

    public WriteToken Token { get; } = new();

    public PrivateFolder Folder { get; }

    public BlockStore Blocks { get; }

    public WorkQueue Queue { get; }

    public SemaphoreSlim Uploads { get; }

    /// <summary>One plan is worked out at a time.</summary>
    public SemaphoreSlim Planning { get; } = new(1);

    /// <summary>One photo is looked at outside the queue at a time, for drawing marks to the seam.</summary>
    public SemaphoreSlim Snapping { get; } = new(1);

    public LastPhoto Last { get; } = new();

    public PlanShelf Plans { get; } = new();

    public OpenedReports Opened { get; } = new();

    public LogDesk Log { get; }

    public ClassShelf Classes { get; } = new();

    public PhoneDesk Phone { get; }

    /// <summary>The sample block's photo, or null when it is not there.</summary>
    public string? SamplePhoto { get; }

    public async ValueTask DisposeAsync()
    {
        await Phone.DisposeAsync();
        await Queue.DisposeAsync();
        Last.Dispose();
        Folder.Dispose();
        Uploads.Dispose();
        Planning.Dispose();
        Snapping.Dispose();
    }

    /// <summary>sample.jpg beside the program, or in testimages of the source tree it was built in.</summary>
    private static string? FindSample()
    {
        for (string? folder = AppContext.BaseDirectory; folder is not null; folder = Path.GetDirectoryName(folder))
            foreach (string place in new[] { Path.Combine(folder, "sample.jpg"), Path.Combine(folder, "testimages", "sample.jpg") })
                if (File.Exists(place)) return place;
        return null;
    }
}
