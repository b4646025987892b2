namespace Analyzer.Practice.Log;

/// <summary>One practice session of one person, with the blocks photographed in it.</summary>
public sealed record PracticeSession
{
    /// <summary>Number in this log file; 0 before it is stored.</summary>
    public long Id { get; init; }

    /// <summary>Stable name that survives export and import.</summary>
    public string Uid { get; init; } = Guid.NewGuid().ToString("N");

    /// <summary>A nickname; nothing else about a person is kept.</summary>
    public required string Who { get; init; }

    public required DateOnly HeldOn { get; init; }

    /// <summary>Minutes practised, null when not noted.</summary>
    public double? Minutes { get; init; }

    public string? Machine { get; init; }

    public string? Foot { get; init; }

    public string? Thread { get; init; }

    public string? Fabric { get; init; }

    public string? Note { get; init; }

    public IReadOnlyList<PracticeBlock> Blocks { get; init; } = [];
}

/// <summary>One measured block: its whole report, where its photo lies, and a small picture.</summary>
public sealed record PracticeBlock
{
    public string Uid { get; init; } = Guid.NewGuid().ToString("N");

    /// <summary>Where the photo was; the photo itself is not copied.</summary>
    public string? PhotoPath { get; init; }

    public string? PhotoSha256 { get; init; }

    /// <summary>The whole report.json as text.</summary>
    public required string ReportJson { get; init; }

    /// <summary>Minutes spent stitching this block's lines, for speed against accuracy.</summary>
    public double? StitchMinutes { get; init; }

    /// <summary>Name of the plan it was stitched after.</summary>
    public string? Plan { get; init; }

    public byte[]? OverlayPng { get; init; }
}

/// <summary>A stored plan.</summary>
public sealed record StoredPlan(string Name, string PlanJson);

/// <summary>The log cannot be used as it is; the message says why and what to do. The file was not changed.</summary>
public sealed class PracticeLogException : Exception
{
    public PracticeLogException(string message, Exception? inner = null) : base(message, inner)
    {
    }
}
