using Analyzer.Core.Units;

namespace Analyzer.Core.Report;

/// <summary>A report's sentences in the unit that its reader chose. The numbers themselves stay in millimetres.</summary>
public static class ReportSentences
{
    /// <summary>The same report with every length in reasons, causes, remarks and notes in inches; unchanged for millimetres.</summary>
    public static AccuracyReport In(AccuracyReport report, bool inches)
    {
        if (!inches) return report;
        string Say(string text) => LengthSentence.In(text, true);
        return report with
        {
            Reasons = [.. report.Reasons.Select(r => new Reason(r.Code, Say(r.Message), Say(r.Advice)))],
            Quality = [.. report.Quality.Select(q => q with { Advice = Say(q.Advice) })],
            Block = report.Block is { } block ? block with { Notes = [.. block.Notes.Select(Say)] } : null,
            ErrorBudget = report.ErrorBudget is { } budget
                ? budget with { Causes = [.. budget.Causes.Select(c => c with { PlainWords = Say(c.PlainWords) })], Remarks = [.. budget.Remarks.Select(Say)] }
                : null,
            Marking = report.Marking is { } marking ? marking with { PlainWords = Say(marking.PlainWords) } : null,
        };
    }
}
