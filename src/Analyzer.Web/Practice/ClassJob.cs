using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Practice.Classroom;
using Analyzer.Vision.Photos;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Practice;

internal enum ClassState
{
    /// <summary>Photos come in.</summary>
    Collecting,

    Working,

    /// <summary>Stopped before the end; what was measured is kept and the run can go on.</summary>
    Stopped,

    Done,
}

/// <summary>One photo of a class.</summary>
/// <param name="FileName">For showing only.</param>
internal sealed record ClassPhoto(string Person, string FileName, string Path);

/// <summary>The photos of a class, measured one after the other in the background; what is measured is kept until the class is removed.</summary>
/// <param name="keptFolder">Where what is measured is kept; its name ends in <see cref="ClassNote.KeptExtension"/>.</param>
internal sealed class ClassJob(BlockChoice choice, string keptFolder, DateTimeOffset made)
{
    private readonly Lock _gate = new();
    private readonly List<ClassPhoto> _photos = [];
    private BlockRun? _run;
    private bool _forgotten;

    public string Id { get; } = Convert.ToHexStringLower(System.Security.Cryptography.RandomNumberGenerator.GetBytes(16));

    public BlockChoice Choice { get; } = choice;

    public DateTimeOffset Made { get; } = made;

    /// <summary>Tells what is needed to go on after a crash; beside the photos until the class is measured.</summary>
    public string NotePath { get; } = Path.ChangeExtension(keptFolder, null) + ClassNote.Extension;

    /// <summary>Size and pattern as kept results are known by: for a plan its own content, since its id is another one in every run.</summary>
    private string SettingsText => Choice.Plan is { } plan
        ? "plan|" + Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(plan.Json)))
        : Choice.SizeText + "|" + Choice.GridText;

    public int Done { get; private set; }

    public ClassSummary? Summary { get; private set; }

    public string? Trouble { get; private set; }

    public BlockRun? Run
    {
        get { lock (_gate) return _run; }
    }

    public IReadOnlyList<ClassPhoto> Photos
    {
        get { lock (_gate) return [.. _photos]; }
    }

    public ClassState State
    {
        get
        {
            lock (_gate)
                return _run is not null ? ClassState.Working : Summary is not null ? ClassState.Done : Trouble is not null ? ClassState.Stopped : ClassState.Collecting;
        }
    }

    public bool TryAdd(ClassPhoto photo, int most)
    {
        lock (_gate)
        {
            if (_photos.Count >= most || _run is not null || Summary is not null || _forgotten) return false;
            _photos.Add(photo);
            ClassNote.Write(this);
            return true;
        }
    }

    /// <summary>Makes this a class that an earlier run left unfinished.</summary>
    public void TakeUp(IReadOnlyList<ClassPhoto> photos)
    {
        lock (_gate)
        {
            _photos.AddRange(photos);
            Trouble = "The workbench ended before this class was measured. Photos, names and pattern are as you had chosen them.";
        }
    }

    public BlockRun? Begin()
    {
        lock (_gate)
        {
            if (_run is not null || _forgotten || _photos.Count == 0) return null;
            (Trouble, Summary, Done) = (null, null, 0);
            return _run = new BlockRun(true);
        }
    }

    public void Stop(string why)
    {
        BlockRun? run;
        lock (_gate)
        {
            run = _run;
            _run = null;
            if (run is not null) Trouble = why;
        }
        run?.Cancel();
    }

    /// <summary>The work itself: as the class command does it, one photo at a time since other work waits in the same queue.</summary>
    public void Measure(BlockRun run)
    {
        run.HasBegun = true;
        string? trouble = null;
        ClassSummary? summary = null;
        try
        {
            IReadOnlyList<ClassPhoto> photos = Photos;
            Dictionary<string, string> names = photos.ToDictionary(p => p.Path, p => p.FileName);
            ClassItem[] items = [.. photos.Select(p => new ClassItem(p.Person, p.Path, null, null))];
            IReadOnlyList<ClassResult> results = ClassRun.Run(items, (item, cancel) => One(item, names[item.Path], cancel), SettingsText, keptFolder, 1, new Note(this, run), run.Token);
            // From here on the path is for showing only.
            summary = ClassSummary.Of([.. results.Select(r => r with { Item = r.Item with { Path = names[r.Item.Path] } })], stitchedOrder: Choice.Order, inches: Choice.Inches);
        }
        catch (OperationCanceledException)
        {
            trouble = "The class was stopped.";
        }
        catch (Exception fault) when (fault is OutOfMemoryException or IOException or UnauthorizedAccessException)
        {
            trouble = "The class could not be measured to its end: memory or disk is short. Close other programs and go on.";
        }
        catch (Exception)
        {
            trouble = "The program met trouble it was not prepared for with this class; go on, or report it.";
        }
        lock (_gate)
        {
            if (_run != run) return;
            (Summary, Trouble, _run) = (summary, trouble, null);
            if (summary is not null) TryDelete(() => File.Delete(NotePath));
        }
    }

    private AccuracyReport One(ClassItem item, string name, CancellationToken cancel)
    {
        byte[] bytes = File.ReadAllBytes(item.Path);
        if (Path.GetExtension(name).Equals(".json", StringComparison.OrdinalIgnoreCase)) return ReportJson.Read(System.Text.Encoding.UTF8.GetString(bytes).TrimStart('\uFEFF'));
        using Photo photo = PhotoReader.Read(bytes, name, PhotoReader.HalveFromPixels);
        return new BlockAnalyzer().Analyze(photo, Choice.Grid, new AnalysisSettings { WithPicture = false }, null, cancel).Report;
    }

    public void Forget()
    {
        Stop("Removed.");
        lock (_gate) _forgotten = true;
        TryDelete(() => File.Delete(NotePath));
        foreach (ClassPhoto photo in Photos) TryDelete(() => File.Delete(photo.Path));
        TryDelete(() => Directory.Delete(keptFolder, recursive: true));
    }

    private static void TryDelete(Action delete)
    {
        try
        {
            delete();
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            // The private folder goes as a whole at the end.
        }
    }

    private sealed class Note(ClassJob job, BlockRun run) : IProgress<(int Done, int All)>
    {
        public void Report((int Done, int All) value)
        {
            if (job.Run == run) job.Done = value.Done;
        }
    }
}

/// <summary>The classes at hand: few, for each holds many photos; the oldest that is not being measured makes room.</summary>
internal sealed class ClassShelf
{
    private const int Most = 3;

    private readonly Lock _gate = new();
    private readonly List<ClassJob> _all = [];

    public bool TryAdd(ClassJob job)
    {
        ClassJob? gone = null;
        lock (_gate)
        {
            if (_all.Count >= Most)
            {
                gone = _all.Find(j => j.Run is null);
                if (gone is null) return false;
                _all.Remove(gone);
            }
            _all.Add(job);
        }
        gone?.Forget();
        return true;
    }

    public ClassJob? Find(string? id)
    {
        lock (_gate) return _all.Find(job => job.Id == id);
    }

    public IReadOnlyList<ClassJob> All()
    {
        lock (_gate) return [.. _all.AsEnumerable().Reverse()];
    }

    public void Remove(ClassJob job)
    {
        lock (_gate) _all.Remove(job);
        job.Forget();
    }
}
