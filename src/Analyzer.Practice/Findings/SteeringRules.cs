using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Findings;

/// <summary>How the needle was steered along the line.</summary>
internal static class SteeringRules
{
    /// <summary>This near a crossing the wobble counts as the crossing's, mm.</summary>
    private const double NearMm = 6;

    /// <summary>This near the block's edge counts as edge, mm.</summary>
    private const double EdgeMm = 25;

    private const int FewestSamples = 12;

    public static IEnumerable<Candidate> Steering(BlockView view, FindingRules.Rule rule)
    {
        if (PlacementRules.Balance(view) is not { } b || b.Test.Estimate > 0) yield break;
        double slow = Band(view, 20, double.PositiveInfinity), middle = Band(view, 8, 20), quick = Band(view, 0, 8);
        string kind = slow >= middle && slow >= quick ? "mostly slow waves longer than 20 mm" : middle >= quick ? "mostly waves of 8 to 20 mm" : "mostly short jitter under 8 mm";
        string drill = slow >= middle && slow >= quick ? rule.Drill
            : middle >= quick ? "Sew at one even speed and relax your shoulders: waves of 8 to 20 mm are corrections made once or twice a second."
            : "Check that the foot glides and the ruler does not slip (a non-slip strip under it); short jitter often comes from the grip, not from the arm.";
        yield return new(rule.Kind, rule.Kind, b.Test, view.Share(b.WobbleMm * b.WobbleMm, [.. view.Block.Lines]),
            $"Steering is the larger part: the needle wanders {Words.Mm(b.WobbleMm)} r.m.s. along a line, {kind}, while the ruler's place varies by {Words.Mm(b.OffsetMm)}.",
            drill, "wander along the line");
    }

    public static IEnumerable<Candidate> WorstFamily(BlockView view, FindingRules.Rule rule)
    {
        var families = view.Families().ToList();
        if (families.Count < 2) yield break;
        foreach ((int family, string letter, string name, ComparedLine[] lines) in families)
        {
            double longest = lines.Max(l => l.LengthMm);
            double[] own = [.. lines.Where(l => l.LengthMm > longest / 2).Select(l => Math.Log(l.RmsMm))];
            double[] others = [.. families.Where(f => f.Family != family).SelectMany(f => f.Lines).Where(l => l.LengthMm > longest / 2).Select(l => Math.Log(l.RmsMm))];
            if (own.Length < PlacementRules.FewestLines || others.Length < PlacementRules.FewestLines) continue;
            TestResult test = Samples.WelchT(own, others);
            if (test.Estimate <= 0) continue;
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, view.Share(lines.Average(l => l.RmsMm * l.RmsMm), lines),
                $"Your {name} wobble {Words.Percent(100 * (Math.Exp(test.Estimate) - 1))} more than your other lines ({Words.Mm(Math.Exp(own.Average()))} against {Words.Mm(Math.Exp(others.Average()))} r.m.s.).",
                rule.Drill, $"wobble most in the {name}");
        }
    }

    public static IEnumerable<Candidate> NearCrossings(BlockView view, FindingRules.Rule rule)
    {
        var ratios = new List<double>();
        double near = 0, count = 0;
        foreach (ComparedLine line in view.Block.Lines)
        {
            double[] nodes = [.. view.NodesOn(line).Select(n => n.AlongMm)];
            if (nodes.Length < 2) continue;
            bool IsNear(double s) => nodes.Any(n => Math.Abs(n - s) <= NearMm);
            if (LogRatio(line, IsNear, s => !IsNear(s)) is not { } ratio) continue;
            ratios.Add(ratio);
            double[] residuals = line.Residuals();
            for (int i = 0; i < residuals.Length; i++)
                if (IsNear(line.AlongMm[i]))
                {
                    near += residuals[i] * residuals[i];
                    count++;
                }
        }
        if (ratios.Count < 6) yield break;
        TestResult test = Samples.OneSampleT(ratios);
        if (test.Estimate <= 0) yield break;
        double extra = near / count * (1 - Math.Exp(-2 * test.Estimate)) * count / view.Samples;
        yield return new(rule.Kind, rule.Kind, test, 100 * extra / view.MeanSquareMm2,
            $"Near crossings your lines wobble {Words.Percent(100 * (Math.Exp(test.Estimate) - 1))} more than between them.", rule.Drill, "wobble more near crossings");
    }

    public static IEnumerable<Candidate> Halves(BlockView view, FindingRules.Rule rule)
    {
        foreach ((int family, string letter, string name, ComparedLine[] lines) in view.Families())
        {
            var ratios = new List<double>();
            foreach (ComparedLine line in lines)
                if (LogRatio(line, s => s > line.LengthMm / 2, s => s <= line.LengthMm / 2) is { } ratio) ratios.Add(ratio);
            if (ratios.Count < PlacementRules.FewestLines) continue;
            TestResult test = Samples.OneSampleT(ratios);
            LineFamily f = view.Block.Families[family];
            string end = test.Estimate > 0 ? Words.FarEnd(f) : Words.NearEnd(f);
            double share = view.Share(lines.Average(l => l.RmsMm * l.RmsMm) * Math.Tanh(Math.Abs(test.Estimate)), lines);
            yield return new($"{rule.Kind}-{letter}", rule.Kind, test, share,
                $"Your {name} wobble {Words.Percent(100 * (Math.Exp(Math.Abs(test.Estimate)) - 1))} more in their {end} half.", rule.Drill, $"wobble more in the {end} half of the {name}");
        }
    }

    public static IEnumerable<Candidate> Edges(BlockView view, FindingRules.Rule rule)
    {
        var ratios = new List<double>();
        foreach (ComparedLine line in view.Block.Lines)
        {
            LineFamily f = view.Block.Families[line.Family];
            LineReport report = view.Block.Report.Lines[line.Number];
            bool Edge(double s)
            {
                double x = report.FromMm[0] + f.AlongX * s, y = report.FromMm[1] + f.AlongY * s;
                return Math.Min(Math.Min(x, view.Block.Block.WidthMm - x), Math.Min(y, view.Block.Block.HeightMm - y)) < EdgeMm;
            }
            if (LogRatio(line, Edge, s => !Edge(s)) is { } ratio) ratios.Add(ratio);
        }
        if (ratios.Count < 6) yield break;
        TestResult test = Samples.OneSampleT(ratios);
        // The straight line is fitted to both parts; its free ends leave a little more at the edge even by chance.
        string where = test.Estimate > 0 ? "near the block's edge" : "in the middle of the block";
        double share = 100 * view.Block.Lines.Average(l => l.RmsMm * l.RmsMm) * Math.Tanh(Math.Abs(test.Estimate)) / view.MeanSquareMm2;
        yield return new(rule.Kind, rule.Kind, test, share,
            $"Your lines wobble {Words.Percent(100 * (Math.Exp(Math.Abs(test.Estimate)) - 1))} more {where}.",
            test.Estimate > 0 ? rule.Drill : "In the middle of the block support the weight on all sides, and roll or puddle the cloth so that nothing pulls.", $"wobble more {where}");
    }

    /// <summary>ln of r.m.s. scatter (each about its own mean) in one part over another, or null where a part is too small.</summary>
    private static double? LogRatio(ComparedLine line, Func<double, bool> top, Func<double, bool> bottom)
    {
        double[] r = line.Residuals();
        double[] a = [.. r.Where((_, i) => top(line.AlongMm[i]))], b = [.. r.Where((_, i) => bottom(line.AlongMm[i]))];
        if (a.Length < FewestSamples || b.Length < FewestSamples) return null;
        double up = Math.Sqrt(a.Average(v => v * v)), down = Math.Sqrt(b.Average(v => v * v));
        return up > 0 && down > 0 ? Math.Log(up / down) : null;
    }

    /// <summary>Mean square of the wobble between two wavelengths, mm².</summary>
    private static double Band(BlockView view, double fromMm, double toMm)
    {
        double sum = 0;
        foreach (ComparedLine line in view.Block.Lines)
        {
            double[] along = [.. line.AlongMm], residuals = line.Residuals();
            double[] fine = fromMm > 0 ? LowPass.Filter(along, residuals, fromMm) : residuals;
            double[] coarse = double.IsInfinity(toMm) ? new double[along.Length] : LowPass.Filter(along, residuals, toMm);
            sum += fine.Zip(coarse, (p, q) => (p - q) * (p - q)).Average();
        }
        return sum / view.Block.Lines.Count;
    }
}
