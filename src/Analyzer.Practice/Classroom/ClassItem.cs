namespace Analyzer.Practice.Classroom;

/// <summary>One photo (or report.json) of one person.</summary>
/// <param name="Person">The name as given; it is printed exactly so.</param>
/// <param name="Size">Size and grid as written, when the list gives them for this photo; otherwise those of the whole class.</param>
public sealed record ClassItem(string Person, string Path, string? Size, string? Grid);

/// <summary>What became of one photo.</summary>
/// <param name="Problem">One sentence, when it could not be measured.</param>
/// <param name="Kept">True when an earlier run had measured it already.</param>
public sealed record ClassResult(ClassItem Item, Core.Report.AccuracyReport? Report, string? Problem, bool Kept)
{
    /// <summary>The problem with the file it is about, named once; null where there is none.</summary>
    public string? ProblemOfFile => Problem is null ? null
        : Problem.Contains(System.IO.Path.GetFileName(Item.Path), StringComparison.Ordinal) ? Problem : $"{System.IO.Path.GetFileName(Item.Path)}: {Problem}";
}

/// <summary>The class folder or list cannot be used; the message is for the user.</summary>
public sealed class ClassListException(string message, Exception? inner = null) : Exception(message, inner);
