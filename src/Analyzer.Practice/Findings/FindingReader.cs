using Analyzer.Practice.Comparing;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Findings;

/// <summary>What to practise next: every rule of the table, tested together, the largest shares of squared error first.</summary>
public static class FindingReader
{
    public const int Most = 3;

    /// <summary>A finding below this share of the squared error is not worth a drill, percent.</summary>
    public const double LeastSharePercent = 5;

    /// <summary>Name under which a report's settings hold the order of sewing: line ids with blanks between.</summary>
    public const string OrderSetting = "stitchingOrder";

    /// <summary>Name under which a report's settings hold the lines sewn from their far end to their near one: ids with blanks between, perhaps none.</summary>
    public const string BackwardSetting = "stitchedBackward";

    /// <summary>The settings with what a plan tells of the sewing: its order, and its directions where they are known.</summary>
    public static Dictionary<string, string> WithSewing(IReadOnlyDictionary<string, string> settings, IReadOnlyList<string>? order, IReadOnlyList<string>? backward)
    {
        var all = new Dictionary<string, string>(settings);
        if (order is { Count: > 0 }) all[OrderSetting] = string.Join(' ', order);
        if (backward is not null) all[BackwardSetting] = string.Join(' ', backward);
        return all;
    }

    /// <param name="stitchedOrder">Line ids in the order they were sewn, when known (from the plan); else the report's own is taken, where it has one.</param>
    public static FindingList Read(ComparedBlock block, IReadOnlyList<string>? stitchedOrder = null)
    {
        var view = new BlockView(block, stitchedOrder ?? OrderOf(block.Report));
        List<Candidate> all = [.. FindingRules.All.SelectMany(rule => rule.Look(view, rule))];
        double[] adjusted = Holm.Adjust([.. all.Select(c => c.Test.P)]);
        List<Finding> shown = [.. all.Select((c, i) => new Finding(c.Code, c.Kind, c.Sentence, c.Drill, c.InCommon, c.SharePercent, c.Test, adjusted[i]))
            .Where(f => f.AdjustedP <= 0.05 && (f.SharePercent ?? 100) >= LeastSharePercent)
            .OrderByDescending(f => f.SharePercent ?? LeastSharePercent)];
        return new FindingList([.. WithoutEchoes(shown).Take(Most)], all.Count);
    }

    /// <summary>The order that a plan gave when the photo was measured; null when none was given.</summary>
    private static string[]? OrderOf(Core.Report.AccuracyReport report) =>
        report.Settings.TryGetValue(OrderSetting, out string? text) && text.Length > 0 ? text.Split(' ') : null;

    /// <summary>The third line's gap and its own placement say the same thing twice: the larger one stays.</summary>
    private static IEnumerable<Finding> WithoutEchoes(List<Finding> found)
    {
        string? letter = null;
        bool thirdSeen = false;
        foreach (Finding f in found)
        {
            // Where the directions are known they explain what lies alternately.
            if (f.Kind == "alternate" && found.Any(o => o.Code == "travel-place" + f.Code["alternate".Length..])) continue;
            if (f.Kind == "third-line")
            {
                if (letter is not null && found.Any(o => o.Kind == "placement" && o.Code.EndsWith(LastLetter(found), StringComparison.Ordinal))) continue;
                thirdSeen = true;
            }
            if (f.Kind == "placement" && f.Code.EndsWith(LastLetter(found), StringComparison.Ordinal))
            {
                if (thirdSeen) continue;
                letter = f.Code;
            }
            yield return f;
        }
    }

    /// <summary>Letter of the family the third-line rule is about: it names it in its sentence as "family X".</summary>
    private static string LastLetter(List<Finding> found)
    {
        string? sentence = found.FirstOrDefault(f => f.Kind == "third-line")?.Sentence;
        int at = sentence?.IndexOf("(family ", StringComparison.Ordinal) ?? -1;
        return at < 0 ? "-?" : "-" + sentence![at + 8];
    }
}
