using Analyzer.Core.Causes;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Grids;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;

namespace Analyzer.Pipeline;

/// <summary>
/// When the intended lines are mostly missing, looks for lines in every direction: perhaps another pattern was stitched, and then that is the news, not
/// thirty missing lines.
/// </summary>
internal static class OtherGrid
{
    /// <summary>Share of intended lines found below which the pattern itself is doubted.</summary>
    private const double DoubtShare = 0.6;

    /// <summary>Refusals that a wrong pattern may be behind.</summary>
    private static readonly HashSet<string> Doubtful = ["no-stitching-seen", "faint-thread", "marks-only", "shadow-or-thread", "marks-or-thread"];

    private const int FewestLines = 4;

    public static AccuracyReport AddTo(AccuracyReport report, Photo photo, BlockPlane plane, IntendedGrid grid, CancellationToken cancel)
    {
        bool refused = report.Outcome == Outcomes.NotMeasurable;
        double found = (double)report.Lines.Count(l => l.Status is "measured" or "partial") / report.Lines.Count;
        if (report.GridSuggestion is not null || (refused ? !report.Reasons.Any(r => Doubtful.Contains(r.Code)) : found >= DoubtShare)) return report;
        FittedGrid seen = GridSeeker.Seek(photo, plane, cancel);
        FittedFamily[] sure = [.. seen.Families.Where(f => f.Lines.Count >= FewestLines)];
        // One family alone may be a stripe of the print; two that agree on a pattern are stitching.
        if (sure.Length < 2 || grid.Families.All(f => sure.Any(s => s.SpacingMm is { } spacing && IsSame(f, s.AngleDeg, spacing)))) return report;
        GridCheck check = GridCheck.Of([.. sure.SelectMany(f => f.Lines)], grid);
        if (check.Verdict != GridVerdict.Other || check.Suggestion is not { } suggestion || IsSame(grid, suggestion)) return report;
        var reason = new Reason("other-grid", suggestion.Message, "To measure against it, run again with: " + suggestion.CommandOptions);
        return report with { Reasons = refused ? [reason] : [reason, .. report.Reasons], GridSuggestion = suggestion, Outcome = refused ? Outcomes.NotMeasurable : Outcomes.WithCautions };
    }

    /// <summary>A few lines with their own scatter come out a little off the spacing that was meant; offered as another pattern they would only mislead.</summary>
    internal static bool IsSame(IntendedGrid grid, GridSuggestion suggestion) => suggestion.Families.Count == grid.Families.Count && grid.Families.Select((f, k) => (Meant: f, Lines: grid.Lines.Count(l => l.Family == k)))
        .All(m => suggestion.Families.Any(s => IsSame(m.Meant, s.AngleDeg, s.SpacingMm) && GridCheck.IsInStep(s.SpacingMm, m.Meant.SpacingMm, m.Lines)));

    /// <summary>The intended family itself, stitched as hands stitch: then the pattern is right, and what else is seen is print.</summary>
    private static bool IsSame(LineFamily intended, double angleDeg, double spacingMm) =>
        Math.Abs(FittedFamily.Fold(intended.AngleDeg - angleDeg)) < 2 && Math.Abs(spacingMm / intended.SpacingMm - 1) < 0.03;
}
