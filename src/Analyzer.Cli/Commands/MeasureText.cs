using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.Core.Units;

namespace Analyzer.Cli.Commands;

/// <summary>What the measure command prints of a report: the main numbers, cautions and the time table.</summary>
internal static class MeasureText
{
    public static IEnumerable<string> Headline(AccuracyReport report, bool inches)
    {
        LineReport[] seen = [.. report.Lines.Where(line => line.Status is "measured" or "partial")];
        yield return $"{seen.Length} of {report.Lines.Count} lines measured{Missing(report)}.";
        if (Widest(seen, line => line.StraightnessRmsMm, line => line.Id) is { } wobble)
            yield return $"Wobble: {Say(wobble.Median, inches)} on a typical line (r.m.s. about its own straight line), largest {Say(wobble.Value, wobble.U, inches)} on line {wobble.Id}.";
        if (Widest(seen, line => line.OffsetMm, line => line.Id) is { } offset)
            yield return $"Place: the middle of a typical line lies {Say(offset.Median, inches)} beside where it was meant to be, at most {Say(offset.Value, offset.U, inches)} on line {offset.Id}.";
        IntersectionReport[] crossed = [.. report.Intersections.Where(i => i.RadialMm.Value is not null)];
        if (Widest(crossed, i => i.RadialMm, i => i.Id) is { } crossing)
            yield return $"Crossings: {crossed.Length} of {report.Intersections.Count} measured, typically {Say(crossing.Median, inches)} away from where they were meant to be, at most {Say(crossing.Value, crossing.U, inches)} at {crossing.Id}.";
        if (report.Marking is { } marking) yield return marking.PlainWords;
        if (report.Settings.ContainsKey("grid") && report.GridSuggestion is { } pattern) yield return $"{pattern.Message} To say so next time: {pattern.Command ?? pattern.CommandOptions}";
    }

    /// <summary>What the reference says of the block's size and squareness, and of the lens.</summary>
    public static IEnumerable<string> SizeNotes(AccuracyReport report) => report.Block?.Notes.Select(Sentence) ?? [];

    public static IEnumerable<string> Cautions(AccuracyReport report) =>
        report.Reasons.Select(reason => $"  - {Sentence(reason.Message)} {Sentence(reason.Advice)}".TrimEnd());

    private static string Sentence(string text)
    {
        string trimmed = text.Trim();
        if (trimmed.Length == 0) return "";
        trimmed = char.ToUpperInvariant(trimmed[0]) + trimmed[1..];
        return trimmed[^1] is '.' or '!' or '?' or '"' ? trimmed : trimmed + ".";
    }

    public static IEnumerable<string> Times(AccuracyReport report, double totalMs)
    {
        foreach (StageTime stage in report.StageTimes) yield return Row(stage.Stage, stage.Milliseconds);
        yield return Row("all", totalMs);
    }

    private static string Row(string name, double ms) => string.Create(CultureInfo.InvariantCulture, $"  {name,-18}{ms / 1000,8:0.00} s");

    private static string Missing(AccuracyReport report)
    {
        int notFound = report.Lines.Count(line => line.Status == "not-found"), unreadable = report.Lines.Count(line => line.Status == "unreadable");
        var parts = new List<string>();
        if (notFound > 0) parts.Add($"{notFound} not found");
        if (unreadable > 0) parts.Add($"{unreadable} not readable");
        if (report.ExtraLines.Count > 0) parts.Add($"{report.ExtraLines.Count} more stitched than intended");
        return parts.Count == 0 ? "" : ", " + string.Join(", ", parts);
    }

    /// <summary>Median of the absolute values, and the largest with its u.</summary>
    private static (double Median, double Value, double? U, string Id)? Widest<T>(IReadOnlyList<T> items, Func<T, MeasuredValue> value, Func<T, string> id)
    {
        var known = items.Where(item => value(item).Value is not null).Select(item => (Size: Math.Abs(value(item).Value!.Value), value(item).U, Id: id(item))).OrderBy(x => x.Size).ToList();
        if (known.Count == 0) return null;
        double median = (known[(known.Count - 1) / 2].Size + known[known.Count / 2].Size) / 2;
        return (median, known[^1].Size, known[^1].U, known[^1].Id);
    }

    private static string Say(double mm, bool inches) => inches
        ? string.Create(CultureInfo.InvariantCulture, $"{mm / Length.MillimetresPerInch:0.000} in")
        : string.Create(CultureInfo.InvariantCulture, $"{mm:0.00} mm");

    /// <summary>With the expanded uncertainty U = 2u (JCGM 100, coverage factor 2) where u is known; it is never shown as none.</summary>
    private static string Say(double mm, double? u, bool inches) => u is { } known ? $"{Say(mm, inches)} (give or take {Say(Math.Max(2 * known, inches ? 0.001 * Length.MillimetresPerInch : 0.01), inches)})" : Say(mm, inches);
}
