namespace Analyzer.Web;

/// <summary>How the workbench is started.</summary>
public sealed record WorkbenchOptions
{
    /// <summary>Port on the loopback address; 0 takes any free one.</summary>
    public int Port { get; init; }

    /// <summary>The sample block's photo, or null to look for it beside the program.</summary>
    public string? SamplePhoto { get; init; }

    /// <summary>Finished size of the sample block, and its grid.</summary>
    public string SampleSize { get; init; } = "8in";

    public string SampleGrid { get; init; } = "triangle:1in";

    /// <summary>Folder inside which the private folder for photos is made.</summary>
    public string TempRoot { get; init; } = Path.GetTempPath();

    /// <summary>Largest photo taken, bytes.</summary>
    public long LargestPhoto { get; init; } = 60L << 20;

    /// <summary>How many pieces of work may wait behind the one being done.</summary>
    public int MostWaiting { get; init; } = 6;

    /// <summary>How many photos may come in at the same time.</summary>
    public int MostUploads { get; init; } = 4;

    /// <summary>How many blocks are kept; the oldest go first.</summary>
    public int MostBlocks { get; init; } = 12;
}
