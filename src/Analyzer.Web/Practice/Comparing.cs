using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Practice;

/// <summary>Two reports, compared as the compare command does it.</summary>
internal static class Comparing
{
    /// <exception cref="FormatException">A report is gone or holds nothing to compare; one sentence.</exception>
    public static (Comparison Comparison, FindingList Next) Of(Workbench workbench, string? before, string? after, double toleranceMm, bool inches)
    {
        (ComparedBlock first, BlockJob? from) = Block(workbench, before, "before", toleranceMm);
        (ComparedBlock second, BlockJob? to) = Block(workbench, after, "after", toleranceMm);
        // Photos are at hand for blocks on the bench; without one on each side the page draws both blocks.
        return (BlockComparer.Compare(first, second, toleranceMm) with { Inches = inches, PictureBefore = from?.Outcome?.Picture, PictureAfter = to?.Outcome?.Picture },
            FindingReader.Read(second, to?.Choice.Order));
    }

    private static (ComparedBlock Block, BlockJob? Job) Block(Workbench workbench, string? key, string which, double toleranceMm)
    {
        if (string.IsNullOrEmpty(key)) throw new FormatException($"Choose a block for \"{which}\".");
        if (ReportSources.Find(workbench, key) is not { } found) throw new FormatException($"The block chosen for \"{which}\" is no longer there; choose another.");
        return (new ComparedBlock(found.Report, found.Name, toleranceMm), found.Job);
    }
}
