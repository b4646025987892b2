using System.Globalization;
using System.Text;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Amounts;
using Analyzer.Planning.Drawing;
using Analyzer.Planning.Route;
using Analyzer.Planning.Words;

namespace Analyzer.Planning.Pages;

/// <summary>The plan on one printed page: drawing, key figures, other routes, thread, time, cautions.</summary>
public static class SummaryPage
{
    /// <param name="notes">Sentences on how the grid fits the block.</param>
    public static string Html(BlockPlan plan, IReadOnlyList<string> notes) => PathPage.Read("summary.html")
        .Replace("{{title}}", Esc(plan.Title), StringComparison.Ordinal)
        .Replace("{{grid}}", Esc(GridWords(plan)), StringComparison.Ordinal)
        .Replace("{{picture}}", PathSheet.SvgElement(plan), StringComparison.Ordinal)
        .Replace("{{key}}", Key(plan), StringComparison.Ordinal)
        .Replace("{{legend}}", Legend(plan), StringComparison.Ordinal)
        .Replace("{{routes}}", Routes(plan), StringComparison.Ordinal)
        .Replace("{{notes}}", string.Concat(notes.Select(n => $"<p class=\"note\">{Esc(n)}</p>")), StringComparison.Ordinal)
        .Replace("{{assumed}}", Esc(Assumed(plan)), StringComparison.Ordinal)
        .Replace("{{cautions}}", string.Concat(Cautions.All.Select(c => $"<li>{Esc(c)}</li>")), StringComparison.Ordinal);

    /// <summary>What the amounts assume, in one sentence or two.</summary>
    public static string Assumed(BlockPlan plan)
    {
        ThreadAssumptions t = plan.Settings.Thread;
        TimeAssumptions m = plan.Settings.Time;
        string pace = m.PaceBlocks > 0
            ? $" All times are multiplied by your own pace, {Number(m.Pace)}, off {m.PaceBlocks} logged block{(m.PaceBlocks == 1 ? "" : "s")}."
            : Math.Abs(m.Pace - 1) < 1e-9 ? " These are guesses until your own log corrects them (--pace-of)." : $" All times are multiplied by the pace you gave, {Number(m.Pace)}.";
        return $"Thread: {Stitches(t, plan.Lengths.Inches)} of sandwich, {Number(100 * t.WasteShare)} % waste, give or take {Number(100 * t.BandShare)} %. "
            + $"Time: {Number(m.StitchesPerMinute)} stitches a minute, {Number(m.PlaceSeconds)} s to lay the ruler for each step, {Number(m.RepositionSeconds)} s to move on every {plan.Lengths.Say(m.RepositionEveryMm)}, {Number(m.PivotSeconds)} s a turn, {Number(m.CutSeconds)} s for start and end and each cut.{pace}";
    }

    private static string Stitches(ThreadAssumptions t, bool inches)
    {
        string perInch = Number(ThreadModel.StitchesPerInch(t.StitchMm), "0.#");
        string Inch(double mm) => Number(mm / Core.Units.Length.MillimetresPerInch, "0.###") + " in";
        return inches
            ? $"{perInch} stitches per inch ({Inch(t.StitchMm)} each) through {Inch(t.ThicknessMm)}"
            : $"stitches of {Number(t.StitchMm)} mm ({perInch} per inch) through {Number(t.ThicknessMm)} mm";
    }

    public static string GridWords(BlockPlan plan)
    {
        IEnumerable<string> families = plan.Grid.Families.Select((f, i) =>
            $"{plan.Grid.Lines.Count(l => l.Family == i)} {RouteWords.Family(f)}, {plan.Lengths.Say(f.SpacingMm)} apart");
        return $"{string.Join("; ", families)}; {plan.Grid.Nodes.Count} inner crossings.";
    }

    public static string Minutes(double minutes) => minutes < 90
        ? $"{Math.Max(1, Math.Round(minutes)).ToString(CultureInfo.InvariantCulture)} min"
        : $"{Math.Floor(minutes / 60 + 0.1).ToString(CultureInfo.InvariantCulture)} h {(5 * Math.Round((minutes - 60 * Math.Floor(minutes / 60 + 0.1)) / 5)).ToString("0", CultureInfo.InvariantCulture)} min".Replace(" -", " ", StringComparison.Ordinal);

    /// <summary>"12 to 16 m".</summary>
    public static string Band(double mm, ThreadEstimate thread, LengthWords lengths)
    {
        (double unit, string name) = lengths.Inches ? (36 * Core.Units.Length.MillimetresPerInch, "yd") : (1000.0, "m");
        return $"{Number(mm * thread.LowShare / unit, "0.0")} to {Number(mm * thread.HighShare / unit, "0.0")} {name}";
    }

    private static string Key(BlockPlan plan)
    {
        StitchRoute route = plan.Route;
        LengthWords lengths = plan.Lengths;
        (string, string)[] rows =
        [
            ("Start", new RouteWords(plan.Grid, lengths).Place(route.StartPoint)),
            ("End", new RouteWords(plan.Grid, lengths).Place(route.EndPoint)),
            ("Thread cuts", Number(route.Cuts)),
            ("Turns", $"{Number(route.Pivots)} ({Number(route.Bounces)} bounces)"),
            ("Lines", $"{plan.Grid.Lines.Count}, {Short(route.LinesMm)}"),
            ("Ditch", Short(route.DitchMm)),
            ("Ditch sewn again", lengths.Say(route.DitchAgainMm)),
            ("Stitched in all", Short(route.StitchedMm)),
            ("Stitches", Math.Round(plan.Thread.Stitches / 10) * 10 is double s ? s.ToString("#,0", CultureInfo.InvariantCulture) : ""),
            ("Top thread", Band(plan.Thread.TopMm, plan.Thread, lengths)),
            ("Bobbin thread", Band(plan.Thread.BobbinMm, plan.Thread, lengths)),
            ("Needle running", Minutes(plan.Time.NeedleMin)),
            ("At the machine", "about " + Minutes(plan.Time.TotalMin)),
        ];
        string Short(double mm) => lengths.SayLong(mm).Split(" (")[0];
        return string.Concat(rows.Select(r => $"<tr><th>{Esc(r.Item1)}</th><td>{Esc(r.Item2)}</td></tr>"));
    }

    private static string Legend(BlockPlan plan)
    {
        var html = new StringBuilder();
        for (int f = 0; f < plan.Grid.Families.Count; f++)
            html.Append(Swatch(FamilyStyle.Of(f).Color, FamilyStyle.Of(f).Dash, $"{IntendedGrid.FamilyLetter(f)}: {RouteWords.Family(plan.Grid.Families[f])}"));
        if (plan.Route.DitchAgainMm > 0) html.Append(Swatch(FamilyStyle.Again, [0.9, 0.7], "travel over stitched ditch"));
        return html.ToString();
    }

    private static string Swatch(string color, double[] dash, string text) =>
        $"<span><svg width=\"34\" height=\"8\" aria-hidden=\"true\"><line x1=\"0\" y1=\"4\" x2=\"34\" y2=\"4\" stroke=\"{color}\" stroke-width=\"2\" stroke-dasharray=\"{string.Join(' ', dash.Select(d => Number(d * 2.4)))}\"/></svg> {Esc(text)}</span>";

    /// <summary>The best corner of every rule, the chosen route marked.</summary>
    private static string Routes(BlockPlan plan)
    {
        var html = new StringBuilder();
        foreach (RouteRule rule in Enum.GetValues<RouteRule>())
        {
            if (rule == RouteRule.BorderThenLastFamily && RoutePlanner.LastFamily(plan.Grid.Families) < 0) continue;
            StitchRoute route = rule == plan.Route.Rule ? plan.Route : BlockPlan.Best(plan.Routes, rule);
            bool chosen = rule == plan.Route.Rule;
            html.Append(CultureInfo.InvariantCulture, $"<tr{(chosen ? " class=\"chosen\"" : "")}><td>{Esc(Capital(RouteWords.Rule(rule)))}{(chosen ? " (this plan)" : "")}</td><td>{RouteWords.Corner(route.Start)}</td><td>{route.Cuts}</td><td>{route.Pivots}</td><td>{Esc(plan.Lengths.Say(route.DitchAgainMm))}</td><td>{Esc(plan.Lengths.SayLong(route.StitchedMm))}</td></tr>");
        }
        return html.ToString();
    }

    private static string Capital(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];

    private static string Number(double value, string format = "0.##") => LengthWords.Number(value, format);

    private static string Esc(string text) => SvgCanvas.Escape(text);
}
