using Analyzer.Pipeline;
using Analyzer.Reporting;

namespace Analyzer.Web.Pages;

/// <summary>The files of a result as the command line writes them, made when asked for.</summary>
internal static class ResultFiles
{
    /// <summary>Name, what it is, and whether it opens in the browser instead of being saved.</summary>
    public static IReadOnlyList<(string Name, string Words, bool Opens)> Names { get; } =
    [
        (ReportFiles.Html, "the report to read, print or give away", true),
        (ReportFiles.Lines, "every line as a table for a spreadsheet, in mm", false),
        (ReportFiles.Intersections, "every crossing as a table, in mm", false),
        (ReportFiles.Overlay, "the block with its lines as a picture", false),
        (ReportFiles.Json, "every number, for programs", false),
    ];

    /// <summary>The bytes of one file, or null where this result has none of that name.</summary>
    public static byte[]? Make(string name, AnalysisOutcome outcome, bool inches)
    {
        if (name == ReportFiles.Json) return System.Text.Encoding.UTF8.GetBytes(Core.Report.ReportJson.Write(outcome.Report) + "\n");
        var options = new ReportOptions { Units = inches ? ReportUnits.Inches : ReportUnits.Millimetres };
        return ReportWriter.Render(outcome.Report, outcome.Picture, options).Files.GetValueOrDefault(name);
    }
}
