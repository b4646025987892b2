using Analyzer.Practice.Comparing;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Findings;

/// <summary>Line ends and the order of sewing.</summary>
internal static class EndRules
{
    /// <summary>Ends that miss the ditch by less than this on average, half a marked line's width (common practice, no source), are no fault to practise on, however sure.</summary>
    private const double LeastMm = 0.5;

    public static IEnumerable<Candidate> Overshoot(BlockView view, FindingRules.Rule rule)
    {
        var ends = new List<double>();
        foreach (ComparedLine line in view.Block.Lines)
        {
            double?[] own = [view.Block.Report.Lines[line.Number].StartOvershootMm?.Value, view.Block.Report.Lines[line.Number].EndOvershootMm?.Value];
            double[] seen = [.. own.OfType<double>()];
            if (seen.Length > 0) ends.Add(seen.Average());
        }
        if (ends.Count < 6 || Math.Abs(ends.Average()) < LeastMm) yield break;
        // The corners move opposite ends against each other; the mean over all ends keeps about a quarter of one corner's error.
        double photo = Math.Pow(view.Block.CornerUMm / 4, 2), lines = Samples.Variance(ends) / ends.Count;
        TestResult test = TestResult.OfT(ends.Average(), Math.Sqrt(lines + photo), Student.EffectiveDf([(lines, ends.Count - 1), (photo, double.PositiveInfinity)]));
        bool far = test.Estimate > 0;
        yield return new(rule.Kind, rule.Kind, test, null,
            $"Your lines {(far ? "run past" : "stop short of")} the ditch by {Words.Mm(test.Estimate)} on average, on {Words.OnLines(ends, test.Estimate)}.",
            rule.Drill, far ? "run past the ditch" : "stop short of the ditch");
    }

    /// <summary>ln wobble against place in the sewn order; only when the order is known.</summary>
    public static IEnumerable<Candidate> Order(BlockView view, FindingRules.Rule rule)
    {
        if (view.StitchedOrder is not { Count: > 0 } order) yield break;
        var place = order.Select((id, i) => (id, i)).GroupBy(x => x.id).ToDictionary(g => g.Key, g => g.First().i);
        ComparedLine[] lines = [.. view.Block.Lines.Where(l => place.ContainsKey(l.Id) && l.RmsMm > 0)];
        if (lines.Length < 8) yield break;
        StraightLineFit fit = StraightLineFit.Of([.. lines.Select(l => (double)place[l.Id])], [.. lines.Select(l => Math.Log(l.RmsMm))]);
        double span = order.Count - 1;
        TestResult test = TestResult.OfT(fit.Slope * span, fit.SlopeU * span, fit.Df);
        double change = 100 * (Math.Exp(Math.Abs(test.Estimate)) - 1);
        bool late = test.Estimate > 0;
        yield return new(rule.Kind, rule.Kind, test, view.Share(lines.Average(l => l.RmsMm * l.RmsMm) * Math.Tanh(Math.Abs(test.Estimate) / 2), lines),
            $"Lines sewn {(late ? "last" : "first")} wobble {Words.Percent(change)} more than lines sewn {(late ? "first" : "last")}.",
            late ? rule.Drill : "Sew a few warm-up lines on a scrap before the block.", late ? "tire toward the end" : "need a warm-up");
    }
}
