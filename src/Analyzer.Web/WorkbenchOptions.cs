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

    /// <summary>The practice log's file, or null for the one in the user's own data folder.</summary>
    public string? LogPath { get; init; }

    /// <summary>The address a phone may send photos to, or null to look for the home network's own.</summary>
    public System.Net.IPAddress? PhoneAddress { get; init; }

    /// <summary>Tells the time; how long a phone's code holds is measured with it.</summary>
    public TimeProvider Clock { get; init; } = TimeProvider.System;

    /// <summary>Folder inside which the private folder for photos is made.</summary>
    public string TempRoot { get; init; } = Path.GetTempPath();

    /// <summary>Largest photo taken, bytes.</summary>
    public long LargestPhoto { get; init; } = 60L << 20;

    /// <summary>How many pieces of work may wait behind the one being done.</summary>
    public int MostWaiting { get; init; } = 6;

    /// <summary>How many photos may come in at the same time.</summary>
    public int MostUploads { get; init; } = 4;

    /// <summary>How many photos a class may have.</summary>
    public int MostClassPhotos { get; init; } = 80;

    /// <summary>How many blocks are kept; the oldest go first.</summary>
    public int MostBlocks { get; init; } = 12;
}
