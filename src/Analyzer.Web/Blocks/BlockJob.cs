using Analyzer.Core.Geometry;
using Analyzer.Pipeline;
using Analyzer.Vision.Corners;

namespace Analyzer.Web.Blocks;

internal enum BlockState
{
    /// <summary>Something is being done or waits to be done.</summary>
    Working,

    /// <summary>The photo is read; the corners are to be looked at.</summary>
    Corners,

    Measured,

    /// <summary>The photo cannot be used, or its reading was stopped.</summary>
    Failed,
}

/// <summary>Corners as found, or null where none were; how sure, and why not surer.</summary>
internal sealed record FoundCorners(PhotoPoint[]? Points, double UncertaintyPx, string? Confidence, IReadOnlyList<string> Doubts)
{
    /// <summary>The finder's own answer and the choice it was asked for, so that measuring need not look again.</summary>
    public (FoundBlock Block, string SizeText, string GridText)? Whole { get; init; }

    /// <summary>The finder's answer where it was for this very choice, else null.</summary>
    public FoundBlock? For(BlockChoice choice) => Whole is { } whole && whole.SizeText == choice.SizeText && whole.GridText == choice.GridText ? whole.Block : null;
}

/// <summary>One photo on the workbench, from its coming in to its result.</summary>
internal sealed class BlockJob(string fileName, string photoPath, BlockChoice choice)
{
    private readonly Lock _gate = new();
    private BlockRun? _run;
    private bool _forgotten;

    /// <summary>128 random bits: an id cannot be guessed.</summary>
    public string Id { get; } = Convert.ToHexStringLower(System.Security.Cryptography.RandomNumberGenerator.GetBytes(16));

    public string FileName { get; } = fileName;

    public string PhotoPath { get; } = photoPath;

    public string PreviewPath { get; } = Path.ChangeExtension(photoPath, ".preview.jpg");

    public string NotePath { get; } = Path.ChangeExtension(photoPath, UnfinishedNote.Extension);

    /// <summary>When it came in, for a block of a run that ended before it was measured; else null.</summary>
    public DateTimeOffset? Since { get; private set; }

    /// <summary>Of a run that ended unexpectedly, and not taken up again yet.</summary>
    public bool IsLeft => Since is not null && State == BlockState.Failed && Trouble is null;

    /// <summary>Whether the marked corners were to be taken as they are.</summary>
    public bool Exact { get; private set; }

    public BlockChoice Choice { get; private set; } = choice;

    public int WidthPx { get; private set; }

    public int HeightPx { get; private set; }

    public FoundCorners? Found { get; private set; }

    /// <summary>The corners last measured with, or null when the found ones were taken.</summary>
    public PhotoPoint[]? Marked { get; private set; }

    public AnalysisOutcome? Outcome { get; private set; }

    /// <summary>What went wrong in the last run, one sentence, or null.</summary>
    public string? Trouble { get; private set; }

    public BlockRun? Run
    {
        get { lock (_gate) return _run; }
    }

    public bool IsBusy => Run is not null;

    /// <summary>Removed: nothing of it is kept any more.</summary>
    public bool IsForgotten
    {
        get { lock (_gate) return _forgotten; }
    }

    public BlockState State
    {
        get
        {
            lock (_gate)
                return _run is not null ? BlockState.Working : Outcome is not null ? BlockState.Measured : Found is not null ? BlockState.Corners : BlockState.Failed;
        }
    }

    /// <summary>Makes this a block that an earlier run left unfinished.</summary>
    public void TakeUp(int widthPx, int heightPx, PhotoPoint[]? marked, bool exact, DateTimeOffset since) =>
        (WidthPx, HeightPx, Marked, Exact, Since) = (widthPx, heightPx, marked, exact, since);

    /// <summary>Starts a run, or gives null when one is under way.</summary>
    public BlockRun? Begin(bool measuring, BlockChoice choice, PhotoPoint[]? marked)
    {
        lock (_gate)
        {
            if (_run is not null || _forgotten) return null;
            Trouble = null;
            (Choice, Marked) = (choice, marked);
            return _run = new BlockRun(measuring);
        }
    }

    /// <summary>Ends the run under way at once; what it still brings is thrown away.</summary>
    public void Stop(string? why = null)
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

    public void Opened(BlockRun run, int widthPx, int heightPx, FoundCorners found) => End(run, () =>
    {
        (WidthPx, HeightPx, Found, Outcome) = (widthPx, heightPx, found, null);
    });

    public void Measured(BlockRun run, int widthPx, int heightPx, AnalysisOutcome outcome, FoundCorners? found) => End(run, () =>
    {
        (WidthPx, HeightPx, Outcome) = (widthPx, heightPx, outcome);
        TryDelete(NotePath);
        if (found is not null) Found = found;
    });

    public void Failed(BlockRun run, string why) => End(run, () => Trouble = why);

    private void End(BlockRun run, Action keep)
    {
        lock (_gate)
        {
            if (_run != run) return;
            keep();
            _run = null;
        }
    }

    /// <summary>Takes the photo from the disk; the run under way is stopped.</summary>
    public void Forget()
    {
        Stop();
        lock (_gate) _forgotten = true;
        foreach (string path in new[] { PhotoPath, PreviewPath, NotePath }) TryDelete(path);
    }

    private static void TryDelete(string path)
    {
        try
        {
            File.Delete(path);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            // The private folder goes as a whole at the end.
        }
    }
}
