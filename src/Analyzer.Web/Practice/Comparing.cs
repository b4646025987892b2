using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;

namespace Analyzer.Web.Practice;

/// <summary>Two reports, compared as the compare command does it.</summary>
internal static class Comparing
{
    /// <exception cref="FormatException">A report is gone or holds nothing to compare; one sentence.</exception>
    public static (Comparison Comparison, FindingList Next) Of(Blocks.Workbench workbench, string? before, string? after, double toleranceMm)
    {
        (ComparedBlock first, _) = Block(workbench, before, "before", toleranceMm);
        (ComparedBlock second, IReadOnlyList<string>? order) = Block(workbench, after, "after", toleranceMm);
        return (BlockComparer.Compare(first, second, toleranceMm), FindingReader.Read(second, order));
    }

    private static (ComparedBlock Block, IReadOnlyList<string>? Order) Block(Blocks.Workbench workbench, string? key, string which, double toleranceMm)
    {
        if (string.IsNullOrEmpty(key)) throw new FormatException($"Choose a block for \"{which}\".");
        if (ReportSources.Find(workbench, key) is not { } found) throw new FormatException($"The block chosen for \"{which}\" is no longer there; choose another.");
        return (new ComparedBlock(found.Report, found.Name, toleranceMm), found.Job?.Choice.Plan?.Plan.LineOrder is { Count: > 0 } order ? order : null);
    }
}
