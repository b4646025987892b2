namespace Analyzer.Reporting;

/// <summary>The unit in which report.html and overlay.png show lengths. The CSV files and report.json are in millimetres always.</summary>
public enum ReportUnits
{
    Millimetres,
    Inches,
}

/// <summary>How a report is laid out.</summary>
public sealed record ReportOptions
{
    public static ReportOptions Default { get; } = new();

    public ReportUnits Units { get; init; } = ReportUnits.Millimetres;

    /// <summary>The command that repeats the run, shown word for word, or null.</summary>
    public string? RepeatCommand { get; init; }

    /// <summary>Longer side of overlay.png, pixels.</summary>
    public int OverlayLongSidePx { get; init; } = 1500;

    /// <summary>True: only report.json and the CSV files, quicker.</summary>
    public bool TablesOnly { get; init; }
}
