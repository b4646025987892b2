using System.Globalization;
using System.Text;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Progress;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Pages;

/// <summary>The page of a person's progress: each measure against minutes and against date, trend, levelling off, pace.</summary>
public static class ProgressPage
{
    public static string Render(PracticeProgress p) => Html.Page($"Progress of {p.Who}", Body(p));

    /// <summary>The page's content alone, for showing inside another page.</summary>
    public static string Body(PracticeProgress p)
    {
        var page = new StringBuilder();
        page.Append($"<h1>Progress of {Html.Escape(p.Who)}</h1>");
        page.Append(Html.InventedMark(p.Invented));
        if (p.Points.Count == 0)
            return page.Append("<p class=\"lead\">No measured block is in the log yet. Measure one and add it.</p>").Append(Html.List(p.Notes)).ToString();
        double hours = p.Points.Max(x => x.CumulativeMinutes) / 60;
        page.Append(CultureInfo.InvariantCulture, $"<p class=\"lead\">{Span(p)}{(p.ByMinutes ? $", {hours:0.#} hour{(Math.Abs(hours - 1) < 0.05 ? "" : "s")} of practice" : "")}.</p>");
        page.Append(Html.List(p.Notes));
        // With one block there is nothing yet to set against it.
        if (p.Trends.Count == 0)
            return page.Append($"<p>{NotYet}</p>").ToString();
        page.Append("<h2>In one table</h2><table class=\"rows\"><thead><tr><th>Measure</th><th class=\"n\">First</th><th class=\"n\">Latest</th><th>Trend</th></tr></thead><tbody>");
        foreach (MeasureTrend t in p.Trends)
        {
            List<ProgressPoint> seen = Seen(p, t.Measure);
            page.Append($"<tr><td><strong>{Html.Escape(t.Measure.Name)}</strong></td><td class=\"n\" data-label=\"First\">{t.Measure.Text(seen[0].Numbers.Of(t.Measure).Value!.Value, true, inches: p.Inches)}</td><td class=\"n\" data-label=\"Latest\">{t.Measure.Text(seen[^1].Numbers.Of(t.Measure).Value!.Value, true, inches: p.Inches)}</td><td class=\"full-row\">{Html.Escape(LengthSentence.In(t.Sentence, p.Inches))}</td></tr>");
        }
        page.Append("</tbody></table>");
        foreach (MeasureTrend t in p.Trends)
        {
            page.Append($"<section class=\"keep\"><h2>{Html.Escape(t.Measure.Name)}</h2><p class=\"small\">{Html.Escape(t.Measure.Explanation)}</p><div class=\"pair\">");
            if (p.ByMinutes) page.Append(Chart(p, t, true));
            page.Append(Chart(p, t, false)).Append("</div></section>");
        }
        page.Append("<section class=\"keep\"><h2>Speed against accuracy</h2>").Append($"<p>{Html.Escape(p.PaceSentence)}</p>").Append(PaceChart(p)).Append("</section>");
        page.Append("<h2>How this was worked out</h2><p class=\"small\">Points with bars: the block's mean and two standard uncertainties (line to line, and photo). Solid line: Theil-Sen, the median of all slopes between two blocks; a trend is claimed by the Mann-Kendall test at 5 % for each measure alone. Dashed line: floor + gain · exp(−rate · minutes), drawn only where it fits better than a level line; the interval of the floor comes from the likelihood. Speed against accuracy: wobble grows in proportion to speed on top of a base (the steering law).</p>");
        return page.ToString();
    }

    private const string NotYet = "Progress shows from the second block on, and from the fifth whether it is more than chance. Sew the same pattern again, photograph it and save it in the log.";

    private static string Span(PracticeProgress p)
    {
        DateOnly first = p.Points.Min(x => x.Date), last = p.Points.Max(x => x.Date);
        string count = p.Points.Count == 1 ? "1 block" : string.Create(CultureInfo.InvariantCulture, $"{p.Points.Count} blocks");
        return first == last
            ? string.Create(CultureInfo.InvariantCulture, $"{count} of {first:d MMMM yyyy}")
            : string.Create(CultureInfo.InvariantCulture, $"{count} from {first:d MMMM yyyy} to {last:d MMMM yyyy}");
    }

    private static List<ProgressPoint> Seen(PracticeProgress p, Measure m) => [.. p.Points.Where(x => x.Numbers.Of(m).Value is not null)];

    private static string Chart(PracticeProgress p, MeasureTrend t, bool minutes)
    {
        List<ProgressPoint> seen = Seen(p, t.Measure);
        double At(ProgressPoint x) => minutes ? x.CumulativeMinutes : x.Date.DayNumber;
        MeasuredValue Value(ProgressPoint x) => x.Numbers.Of(t.Measure);
        double x0 = minutes ? 0 : seen.Min(At), x1 = seen.Max(At), k = t.Measure.Scale(p.Inches), top = k * seen.Max(x => Value(x).Value!.Value + 2 * (Value(x).U ?? 0)) * 1.05;
        if (t.Measure.HigherIsBetter) top = 100;
        double margin = Math.Max(1, 0.04 * (x1 - x0));
        var chart = new SvgChart(480, 300, (x0 - (minutes ? 0 : margin), x1 + margin), (0, top));
        chart.XAxis(minutes ? "minutes practised" : "date", minutes ? SvgChart.Ticks(x0, x1, 5).Select(v => (v, Html.Number(v))) : DateTicks(x0, x1));
        chart.YAxis(t.Measure.UnitName(p.Inches));
        bool curved = minutes == p.ByMinutes && t.Curve is { Gain: > 0, P: <= 0.05 }, falls = t.Test.TwoSidedP <= 0.05 && seen.Count >= MannKendall.FewestForFivePercent;
        if (curved && t.Curve is { } curve)
            chart.Line(Enumerable.Range(0, 81).Select(i => x0 + (x1 - x0) * i / 80.0).Where(x => x >= seen.Min(At)).Select(x => (x, k * curve.At(x))), Html.AfterColour, 2.2, "7 5");
        if (falls)
        {
            double a = seen.Min(At);
            TheilSen line = TheilSen.Of([.. seen.Select(x => At(x) - a)], [.. seen.Select(x => Value(x).Value!.Value)]);
            chart.Line([(a, k * line.Intercept), (x1, k * (line.Intercept + line.Slope * (x1 - a)))], "#44444a", 1.8);
        }
        foreach (ProgressPoint x in seen) chart.Point(At(x), k * Value(x).Value!.Value, Html.BeforeColour, u: k * 2 * (Value(x).U ?? 0));
        string legend = "Bars: two standard uncertainties." + (falls ? " Solid line: trend." : " No trend shown.") + (curved ? " Dashed curve: levelling off." : "");
        return $"<figure>{chart.Render($"{t.Measure.Name} against {(minutes ? "minutes practised" : "date")}")}<figcaption>{legend}</figcaption></figure>";
    }

    private static IEnumerable<(double, string)> DateTicks(double x0, double x1)
    {
        double days = x1 - x0;
        int count = days < 3 ? 1 : 4;
        for (int i = 0; i <= count; i++)
        {
            double v = Math.Round(x0 + days * i / count);
            yield return (v, DateOnly.FromDayNumber((int)v).ToString(days > 300 ? "MMM yyyy" : "d MMM", CultureInfo.InvariantCulture));
        }
    }

    private static string PaceChart(PracticeProgress p)
    {
        List<ProgressPoint> timed = [.. p.Points.Where(x => x.MinutesPerMetre is > 0 && x.Numbers.WobbleMm.Value is not null)];
        if (timed.Count < 2) return "";
        double x1 = timed.Max(x => x.MinutesPerMetre!.Value), x0 = timed.Min(x => x.MinutesPerMetre!.Value), margin = Math.Max(0.05, 0.06 * (x1 - x0));
        double k = Measure.Wobble.Scale(p.Inches), top = k * timed.Max(x => x.Numbers.WobbleMm.Value!.Value + 2 * (x.Numbers.WobbleMm.U ?? 0)) * 1.05;
        var chart = new SvgChart(720, 320, (Math.Max(0.01, x0 - margin), x1 + margin), (0, top));
        chart.XAxis("minutes for a metre of line (slower to the right)", SvgChart.Ticks(x0, x1, 6).Select(v => (v, Html.Number(v))));
        chart.YAxis($"wobble r.m.s., {Measure.Wobble.UnitName(p.Inches)}");
        if (p.Pace is { Shown: true } law)
            chart.Line(Enumerable.Range(0, 61).Select(i => x0 + (x1 - x0) * i / 60).Select(m => (m, k * (law.BaseMm + law.SlopeMmMinPerM / m))), Html.AfterColour, 2.2, "7 5");
        foreach (ProgressPoint x in timed) chart.Point(x.MinutesPerMetre!.Value, k * x.Numbers.WobbleMm.Value!.Value, Html.BeforeColour, u: k * 2 * (x.Numbers.WobbleMm.U ?? 0));
        return $"<figure>{chart.Render("Wobble against minutes per metre")}<figcaption>Bars: two standard uncertainties.{(p.Pace is { Shown: true } ? " Dashed curve: the steering law as fitted." : "")}</figcaption></figure>";
    }
}
