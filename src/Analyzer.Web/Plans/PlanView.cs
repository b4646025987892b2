using Analyzer.Core.Pattern;
using Analyzer.Planning;
using Analyzer.Planning.Pages;
using Analyzer.Planning.Route;
using Analyzer.Planning.Words;

namespace Analyzer.Web.Plans;

/// <summary>A plan as the page's script draws it.</summary>
internal static class PlanView
{
    public static object Of(BlockPlan plan, PlanAsk ask)
    {
        StitchRoute route = plan.Route;
        LengthWords lengths = plan.Lengths;
        return new
        {
            title = plan.Title,
            gridWords = SummaryPage.GridWords(plan),
            widthMm = plan.Grid.Size.WidthMm,
            heightMm = plan.Grid.Size.HeightMm,
            families = plan.Grid.Families.Select((f, i) => new { letter = IntendedGrid.FamilyLetter(i), words = RouteWords.Family(f), count = plan.Grid.Lines.Count(l => l.Family == i) }),
            lines = plan.Grid.Lines.Select(l => new { id = l.Id, family = l.Family, from = new[] { l.From.Xmm, l.From.Ymm }, to = new[] { l.To.Xmm, l.To.Ymm } }),
            steps = route.Steps.Select((s, i) => new
            {
                kind = Kind(s.Kind),
                family = s.LineId is { } id ? plan.Grid.Line(id).Family : -1,
                points = s.Points.Select(p => new[] { Math.Round(p.Xmm, 3), Math.Round(p.Ymm, 3) }),
                lengthMm = Math.Round(s.LengthMm, 2),
                text = plan.StepTexts[i],
            }),
            key = Key(plan),
            routes = Routes(plan),
            fit = ask.Fit is not { } fit ? null : new
            {
                closes = fit.WishCloses,
                offers = fit.Offers.Select(o => Offer(o, fit.AngleCloses, lengths)),
            },
            assumed = SummaryPage.Assumed(plan),
            start = RouteWords.Corner(route.Start),
        };

        static string Kind(StepKind kind) => kind switch { StepKind.Ditch => "ditch", StepKind.DitchAgain => "ditch-again", StepKind.Line => "line", _ => "cut" };
    }

    private static string Offer(Planning.Grids.FittedGrid o, bool angleCloses, LengthWords lengths)
    {
        string count = $"{o.Columns} across, {o.Rows} up";
        return angleCloses ? $"{lengths.Say(o.SpacingMm)} apart: {count}" : $"{LengthWords.Number(o.AngleDeg)}°, {lengths.Say(o.SpacingMm)} apart: {count}";
    }

    private static IEnumerable<string[]> Key(BlockPlan plan)
    {
        StitchRoute route = plan.Route;
        LengthWords lengths = plan.Lengths;
        var words = new RouteWords(plan.Grid, lengths);
        return
        [
            ["Start", words.Place(route.StartPoint)],
            ["End", words.Place(route.EndPoint)],
            ["Thread cuts", LengthWords.Number(route.Cuts)],
            ["Turns with the needle down", LengthWords.Number(route.Pivots)],
            ["Ditch sewn again", lengths.Say(route.DitchAgainMm)],
            ["Stitched in all", lengths.SayLong(route.StitchedMm)],
            ["Top thread", SummaryPage.Band(plan.Thread.TopMm, plan.Thread, lengths)],
            ["Bobbin thread", SummaryPage.Band(plan.Thread.BobbinMm, plan.Thread, lengths)],
            ["Needle running", SummaryPage.Minutes(plan.Time.NeedleMin)],
            ["At the machine", "about " + SummaryPage.Minutes(plan.Time.TotalMin)],
        ];
    }

    /// <summary>The best corner of every order, the chosen route marked.</summary>
    private static IEnumerable<object> Routes(BlockPlan plan)
    {
        foreach (RouteRule rule in Enum.GetValues<RouteRule>())
        {
            if (rule == RouteRule.BorderThenLastFamily && RoutePlanner.LastFamily(plan.Grid.Families) < 0) continue;
            StitchRoute route = rule == plan.Route.Rule ? plan.Route : BlockPlan.Best(plan.Routes, rule);
            yield return new
            {
                words = RouteWords.Rule(rule),
                start = RouteWords.Corner(route.Start),
                cuts = route.Cuts,
                turns = route.Pivots,
                again = plan.Lengths.Say(route.DitchAgainMm),
                all = plan.Lengths.SayLong(route.StitchedMm),
                chosen = rule == plan.Route.Rule,
            };
        }
    }
}
