namespace Analyzer.Practice.Comparing;

/// <summary>What can be said about one row.</summary>
public enum Verdict
{
    Better,
    Worse,
    NoDifferenceShown,
    CannotTell,
}

/// <summary>One measure, overall or of one family, before and after.</summary>
/// <param name="Low">Ends of the 95 % interval of the difference, lines and photo together; for this row alone.</param>
/// <param name="AdjustedP">Two-sided p after the correction for all rows.</param>
/// <param name="DetectableChange">A change this large would have been called, whatever the other rows do.</param>
/// <param name="PhotoU">The photos' share of the standard uncertainty of the difference.</param>
public sealed record ComparisonRow(
    Measure Measure, int? Family, string FamilyName, double Before, double After, double Difference, double Low, double High,
    double P, double AdjustedP, double DetectableChange, double LinesU, double PhotoU, double Df, int Lines, Verdict Verdict, string Sentence);

/// <summary>Two blocks side by side.</summary>
public sealed record Comparison(
    ComparedBlock Before, ComparedBlock After, bool SameGrid, double ToleranceMm, double WindowMm,
    IReadOnlyList<ComparisonRow> Rows, IReadOnlyList<string> Notes)
{
    /// <summary>True when the maker reads inches; the numbers here are mm all the same.</summary>
    public bool Inches { get; init; }

    /// <summary>The rectified photos, where they are at hand: both or none is best.</summary>
    public Core.Report.BlockPicture? PictureBefore { get; init; }

    public Core.Report.BlockPicture? PictureAfter { get; init; }

    public const string Method =
        "Whole lines are the unit, never samples: the uncertainty comes from how a family's lines differ, family by family " +
        "(in one grid the same line of both blocks together). A warp of the cloth, judged by the bow that lines share, is added, since it moves many lines at once. What the photos may have got wrong (corners, lens, noise) is added. "
        + "What such common errors do to the spread of lines is taken off that spread, so that it does not count twice. " +
        "All rows are tested at once with Holm's method, half of the 5 % for the whole-block rows and half for the family rows; " +
        "the intervals are 95 % for each row alone.";

    public IEnumerable<ComparisonRow> Overall => Rows.Where(r => r.Family is null);
}
