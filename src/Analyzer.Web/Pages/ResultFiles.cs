using Analyzer.Pipeline;
using Analyzer.Reporting;
using Analyzer.Reporting.Sheets;

namespace Analyzer.Web.Pages;

/// <summary>The files of a result as the command line writes them, and the report as a PDF; made when asked for.</summary>
internal static class ResultFiles
{
    public const string Pdf = "report.pdf";

    /// <summary>Name, what it is, and whether it opens in the browser instead of being saved.</summary>
    public static IReadOnlyList<(string Name, string Words, bool Opens)> Names { get; } =
    [
        (ReportFiles.Html, "the report to read in the browser, print or give away", true),
        (Pdf, "the report on paper", false),
        (ReportFiles.Lines, "every line as a table for a spreadsheet, in mm", false),
        (ReportFiles.Intersections, "every crossing as a table, in mm", false),
        (ReportFiles.Overlay, "the block with its lines as a picture", false),
        (ReportFiles.Json, "every number, for programs and for comparing later", false),
    ];

    /// <summary>The bytes of one file, or null where this result has none of that name.</summary>
    public static byte[]? Make(string name, AnalysisOutcome outcome, bool inches)
    {
        if (name == ReportFiles.Json) return System.Text.Encoding.UTF8.GetBytes(Core.Report.ReportJson.Write(outcome.Report) + "\n");
        var options = new ReportOptions { Units = inches ? ReportUnits.Inches : ReportUnits.Millimetres };
        return name == Pdf ? ReportPdf.Draw(outcome.Report, outcome.Picture, options, letter: inches)
            : ReportWriter.Render(outcome.Report, outcome.Picture, options).Files.GetValueOrDefault(name);
    }
}
