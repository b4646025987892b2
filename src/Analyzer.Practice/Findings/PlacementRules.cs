using Analyzer.Core.Pattern;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Findings;

/// <summary>Where the ruler was set.</summary>
internal static class PlacementRules
{
    public const int FewestLines = 4;

    public static IEnumerable<Candidate> Bias(BlockView view, FindingRules.Rule rule)
    {
        foreach ((int family, string letter, string name, ComparedLine[] lines) in view.Families())
        {
            if (lines.Length < FewestLines) continue;
            LineFamily f = view.Block.Families[family];
            TestResult test = view.MeanTest(lines, (l, e) => l.OffsetMm(e));
            double share = view.Share(test.Estimate * test.Estimate - test.StandardError * test.StandardError, lines);
            string side = Words.ShortSide(f, test.Estimate);
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, share,
                $"Your {name} pass {Words.Mm(test.Estimate)} {Words.Side(f, test.Estimate)} the mark on average, on {Words.OnLines(lines.Select(l => l.SignedOffsetMm), test.Estimate)}: the ruler sits {side}.",
                rule.Drill, $"set the {name} {side}");
        }
    }

    public static IEnumerable<Candidate> Rotation(BlockView view, FindingRules.Rule rule)
    {
        foreach ((_, string letter, string name, ComparedLine[] lines) in view.Families())
        {
            if (lines.Length < FewestLines) continue;
            TestResult test = view.MeanTest(lines, (l, e) => l.AngleDeg(e));
            string way = test.Estimate > 0 ? "clockwise" : "counter-clockwise";
            double net = test.Estimate * test.Estimate - test.StandardError * test.StandardError;
            double share = view.Share(lines.Average(l => net * Math.Pow(Math.PI / 180 * l.LengthMm, 2) / 12), lines);
            double longest = lines.Max(l => l.LengthMm);
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, share,
                $"Your {name} turn {way} by {Words.Degrees(test.Estimate)} on average, on {Words.OnLines(lines.Select(l => l.SignedAngleDeg), test.Estimate)}: {Words.Mm(Math.Tan(test.Estimate * Math.PI / 180) * longest)} from end to end of the longest.",
                rule.Drill, $"turn the {name} {way}");
        }
    }

    /// <summary>Placement scatter and steering are one question with two answers: which part is larger.</summary>
    public static IEnumerable<Candidate> Scatter(BlockView view, FindingRules.Rule rule)
    {
        if (Balance(view) is not { } b || b.Test.Estimate < 0) yield break;
        yield return new(rule.Kind, rule.Kind, b.Test, view.Share(b.OffsetMm * b.OffsetMm, [.. view.Block.Lines]),
            $"The ruler's place varies from line to line by {Words.Mm(b.OffsetMm)} (one standard deviation), more than the needle wanders along a line ({Words.Mm(b.WobbleMm)}).",
            rule.Drill, "set the ruler unevenly from line to line");
    }

    /// <summary>Per line: squared placement about its family's mean, less squared wobble.</summary>
    internal static (TestResult Test, double OffsetMm, double WobbleMm)? Balance(BlockView view)
    {
        var differences = new List<double>();
        double offset = 0, wobble = 0;
        foreach ((_, _, _, ComparedLine[] lines) in view.Families())
        {
            if (lines.Length < FewestLines) continue;
            double mean = lines.Average(l => l.SignedOffsetMm);
            foreach (ComparedLine line in lines)
            {
                double o = Math.Pow(line.SignedOffsetMm - mean, 2) * lines.Length / (lines.Length - 1), w = Math.Pow(line.WobbleMm(view.Block.NoiseMm, 0, PhotoError.None), 2);
                offset += o;
                wobble += w;
                differences.Add(o - w);
            }
        }
        return differences.Count < 8 ? null
            : (Samples.OneSampleT(differences), Math.Sqrt(offset / differences.Count), Math.Sqrt(wobble / differences.Count));
    }

    public static IEnumerable<Candidate> Alternate(BlockView view, FindingRules.Rule rule)
    {
        foreach ((int family, string letter, string name, ComparedLine[] lines) in view.Families())
        {
            double[] even = [.. lines.Where(l => IsEven(view, l)).Select(l => l.SignedOffsetMm)], odd = [.. lines.Where(l => !IsEven(view, l)).Select(l => l.SignedOffsetMm)];
            if (even.Length < 3 || odd.Length < 3) continue;
            TestResult test = Samples.WelchT(even, odd);
            LineFamily f = view.Block.Families[family];
            double half = test.Estimate / 2;
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, view.Share(half * half - test.StandardError * test.StandardError / 4, lines),
                $"Every other one of your {name} lies {Words.Mm(test.Estimate)} {Words.Side(f, test.Estimate)} its neighbours' place: typical of changing the direction of travel.",
                rule.Drill, $"place the {name} differently back and forth");
        }
    }

    public static IEnumerable<Candidate> SharedBow(BlockView view, FindingRules.Rule rule)
    {
        foreach ((int family, string letter, string name, ComparedLine[] all) in view.Families())
        {
            double longest = all.Max(l => l.LengthMm);
            ComparedLine[] lines = [.. all.Where(l => l.LengthMm > longest / 2)];
            if (lines.Length < FewestLines) continue;
            TestResult test = Samples.OneSampleT([.. lines.Select(l => l.BowMm)]);
            // Mean square of 4t(1-t) about its own straight line is 4/45.
            double share = view.Share((test.Estimate * test.Estimate - test.StandardError * test.StandardError) * 4 / 45, lines);
            LineFamily f = view.Block.Families[family];
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, share,
                $"Your {name} share a bow: in the middle they lie {Words.Mm(test.Estimate)} {Words.Side(f, test.Estimate)} the straight line between their ends.",
                rule.Drill, $"bow the {name}");
        }
    }

    private static bool IsEven(BlockView view, ComparedLine line) => view.Block.Report.Lines[line.Number].Index % 2 == 0;
}
