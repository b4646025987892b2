namespace Analyzer.Practice.Comparing;

/// <summary>Verdicts as sentences.</summary>
public static class VerdictWords
{
    public static string InShort(Verdict verdict) => verdict switch
    {
        Verdict.Better => "better",
        Verdict.Worse => "worse",
        Verdict.CannotTell => "cannot tell",
        _ => "no difference that this pair can show",
    };

    internal static string Of(ComparisonRow row, bool tooFewLines)
    {
        Measure m = row.Measure;
        string change = $"{m.Text(row.Before)} → {m.Text(row.After, unit: true)}";
        string smallest = $"a change of {m.Text(row.DetectableChange, unit: true)} would have shown";
        return row.Verdict switch
        {
            Verdict.Better => $"Better: {change}; {smallest}.",
            Verdict.Worse => $"Worse: {change}; {smallest}.",
            Verdict.CannotTell when tooFewLines => $"Cannot tell: with fewer than {BlockComparer.FewestLines} lines no change can be called.",
            Verdict.CannotTell => $"Cannot tell: {change}, but what the photos may have got wrong could explain it. Photograph straight from above, larger in the frame, and mark the corners by hand.",
            _ => $"No difference that this pair can show ({change}); {smallest}.",
        };
    }
}
