namespace Analyzer.Web.Blocks;

/// <summary>One piece of work on a block. What comes of a run that was stopped is thrown away.</summary>
[System.Diagnostics.CodeAnalysis.SuppressMessage("Reliability", "CA1001", Justification = "A source without timer and links holds nothing to release, and a run may be stopped long after its end.")]
internal sealed class BlockRun(bool isMeasuring)
{
    private readonly CancellationTokenSource _cancel = new();

    /// <summary>True: measuring. False: reading the photo and finding the corners.</summary>
    public bool IsMeasuring { get; } = isMeasuring;

    public long Ticket { get; set; }

    public string? Stage { get; set; }

    public bool HasBegun { get; set; }

    public CancellationToken Token => _cancel.Token;

    public void Cancel() => _cancel.Cancel();
}
