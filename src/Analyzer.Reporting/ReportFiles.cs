namespace Analyzer.Reporting;

/// <summary>The files of one report, by name, ready to be written.</summary>
public sealed record ReportFiles(IReadOnlyDictionary<string, byte[]> Files)
{
    public const string Json = "report.json", Html = "report.html", Lines = "lines.csv", Intersections = "intersections.csv", Overlay = "overlay.png";

    /// <summary>Every name a report may use; an older report's file that the new one lacks is taken away.</summary>
    public static IReadOnlyList<string> AllNames { get; } = [Json, Html, Lines, Intersections, Overlay];
}
