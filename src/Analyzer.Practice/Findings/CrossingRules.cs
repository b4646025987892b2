using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Findings;

/// <summary>How crossings were met.</summary>
internal static class CrossingRules
{
    public static IEnumerable<Candidate> Pull(BlockView view, FindingRules.Rule rule)
    {
        foreach ((int family, string letter, string name, ComparedLine[] lines) in view.Families())
        {
            var pulls = new List<double>();
            foreach (ComparedLine line in lines)
            {
                double[] nodes = [.. view.NodesOn(line).Select(n => n.AlongMm).Where(s => s > 5 && s < line.LengthMm - 5)];
                double[] residuals = line.Residuals();
                double at = 0, away = 0;
                int nAt = 0, nAway = 0;
                for (int i = 0; i < residuals.Length; i++)
                {
                    double gap = nodes.Length == 0 ? double.PositiveInfinity : nodes.Min(n => Math.Abs(n - line.AlongMm[i]));
                    if (gap <= 2)
                    {
                        at += residuals[i];
                        nAt++;
                    }
                    else if (gap > 6)
                    {
                        away += residuals[i];
                        nAway++;
                    }
                }
                if (nAt >= 4 && nAway >= 8) pulls.Add(at / nAt - away / nAway);
            }
            if (pulls.Count < PlacementRules.FewestLines) continue;
            TestResult test = Samples.OneSampleT(pulls);
            LineFamily f = view.Block.Families[family];
            double share = view.Share((test.Estimate * test.Estimate - test.StandardError * test.StandardError) / 4, lines);
            string side = Words.ShortSide(f, test.Estimate);
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, share,
                $"At crossings your {name} bend {Words.Mm(test.Estimate)} {Words.Side(f, test.Estimate)} their own straight line, on {Words.OnLines(pulls, test.Estimate)}.",
                rule.Drill, $"bend the {name} {side} at crossings");
        }
    }

    /// <summary>Where three families meet: the last family's line against the crossing of the first two, averaged by line.</summary>
    public static IEnumerable<Candidate> ThirdLine(BlockView view, FindingRules.Rule rule)
    {
        if (view.Block.Families.Count < 3) yield break;
        int last = view.Block.Families.Count - 1;
        LineFamily f = view.Block.Families[last];
        var gaps = new List<double>();
        ComparedLine[] lines = [.. view.Block.Lines.Where(l => l.Family == last)];
        foreach (ComparedLine line in lines)
        {
            var own = new List<double>();
            foreach ((IntersectionReport node, _) in view.NodesOn(line))
            {
                Crossing? other = node.Crossings.FirstOrDefault(c => !c.LineIds.Contains(line.Id));
                Crossing? mine = node.Crossings.FirstOrDefault(c => c.LineIds.Contains(line.Id));
                if (other is null || mine is null) continue;
                own.Add(f.AcrossX * (mine.AtMm[0] - other.AtMm[0]) + f.AcrossY * (mine.AtMm[1] - other.AtMm[1]));
            }
            if (own.Count > 0) gaps.Add(own.Average());
        }
        if (gaps.Count < PlacementRules.FewestLines) yield break;
        TestResult test = Samples.OneSampleT(gaps);
        string letter = IntendedGrid.FamilyLetter(last), side = Words.ShortSide(f, test.Estimate);
        double share = view.Share(test.Estimate * test.Estimate - test.StandardError * test.StandardError, lines);
        yield return new(rule.Kind, rule.Kind, test, Math.Min(share, 100),
            $"The third line (family {letter}) passes {Words.Mm(test.Estimate)} {Words.Side(f, test.Estimate)} the point where the other two cross, on {Words.OnLines(gaps, test.Estimate)}.",
            rule.Drill, $"aim the last family {side}");
    }
}
