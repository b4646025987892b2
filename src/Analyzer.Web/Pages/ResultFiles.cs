using System.Text;
using Analyzer.Core.Report;
using Analyzer.Pipeline;

namespace Analyzer.Web.Pages;

/// <summary>The files of a result as the command line writes them, made when asked for.</summary>
internal static class ResultFiles
{
    /// <summary>Name, what it is, and whether it opens in the browser instead of being saved.</summary>
    public static IReadOnlyList<(string Name, string Words, bool Opens)> Names { get; } =
    [
        ("report.json", "every number, for programs", false),
    ];

    /// <summary>The bytes of one file, or null where this result has none of that name.</summary>
    public static byte[]? Make(string name, AnalysisOutcome outcome, bool inches) =>
        name == "report.json" ? Encoding.UTF8.GetBytes(ReportJson.Write(outcome.Report) + "\n") : null;
}
