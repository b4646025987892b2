using Analyzer.Core.Pattern;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Findings;

/// <summary>Direction of travel: lines of one family sewn one way against those sewn the other way; only when a plan tells the directions.</summary>
internal static class TravelRules
{
    /// <summary>Fewer lines than this each way and nothing is said.</summary>
    private const int FewestEachWay = 3;

    public static IEnumerable<Candidate> Place(BlockView view, FindingRules.Rule rule)
    {
        foreach ((int family, string letter, string name, ComparedLine[] lines, ComparedLine[] there, ComparedLine[] back) in BothWays(view, _ => true))
        {
            LineFamily f = view.Block.Families[family];
            TestResult test = Samples.WelchT([.. there.Select(l => l.SignedOffsetMm)], [.. back.Select(l => l.SignedOffsetMm)]);
            double half = test.Estimate / 2;
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, view.Share(half * half - test.StandardError * test.StandardError / 4, lines),
                $"Your {name} lie {Words.Mm(test.Estimate)} {(Words.Side(f, test.Estimate) is var side && side.StartsWith("to", StringComparison.Ordinal) ? "farther " + side[..^3] : side == "below" ? "lower" : "higher")} when sewn toward the {Words.FarEndNoun(f)} than when sewn toward the {Words.NearEndNoun(f)}.",
                rule.Drill, $"place the {name} differently there and back");
        }
    }

    public static IEnumerable<Candidate> Wobble(BlockView view, FindingRules.Rule rule)
    {
        foreach ((int family, string letter, string name, ComparedLine[] lines, ComparedLine[] there, ComparedLine[] back) in BothWays(view, l => l.RmsMm > 0))
        {
            LineFamily f = view.Block.Families[family];
            TestResult test = Samples.WelchT([.. there.Select(l => Math.Log(l.RmsMm))], [.. back.Select(l => Math.Log(l.RmsMm))]);
            bool far = test.Estimate > 0;
            string worse = far ? Words.FarEndNoun(f) : Words.NearEndNoun(f), better = far ? Words.NearEndNoun(f) : Words.FarEndNoun(f);
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, view.Share(lines.Average(l => l.RmsMm * l.RmsMm) * Math.Tanh(Math.Abs(test.Estimate) / 2), lines),
                $"Your {name} wobble {Words.Percent(100 * (Math.Exp(Math.Abs(test.Estimate)) - 1))} more when sewn toward the {worse} than when sewn toward the {better}.",
                rule.Drill, $"wobble more toward the {worse} on the {name}");
        }
    }

    /// <summary>Longer lines wobble more and bend a comparison: lines under half the family's longest are left out.</summary>
    private static IEnumerable<(int, string, string, ComparedLine[] All, ComparedLine[] There, ComparedLine[] Back)> BothWays(BlockView view, Func<ComparedLine, bool> counts)
    {
        if (view.Backward is not { } backward) yield break;
        foreach ((int family, string letter, string name, ComparedLine[] lines) in view.Families())
        {
            double longest = lines.Max(l => l.LengthMm);
            ComparedLine[] used = [.. lines.Where(l => l.LengthMm > longest / 2 && counts(l))];
            ComparedLine[] there = [.. used.Where(l => !backward.Contains(l.Id))], back = [.. used.Where(l => backward.Contains(l.Id))];
            if (there.Length >= FewestEachWay && back.Length >= FewestEachWay) yield return (family, letter, name, used, there, back);
        }
    }
}
