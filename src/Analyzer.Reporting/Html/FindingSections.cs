using Analyzer.Core.Report;

namespace Analyzer.Reporting.Html;

/// <summary>Headline with its figures, and the cautions.</summary>
internal static class FindingSections
{
    public static void Headline(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        Headline headline = Html.Headline.Of(report, units);
        DeviationSummary all = DeviationSummary.Of(report);
        html.Raw("<section>\n").Element("h1", headline.Title);
        html.Raw("<p>");
        foreach (string sentence in headline.Sentences) html.Text(sentence + " ");
        html.Raw("</p>\n<ul class=\"tiles\">\n");
        int seen = report.Lines.Count(l => l.Status is "measured" or "partial");
        Tile(html, $"{seen} of {report.Lines.Count}", "intended lines measured");
        if (all.Samples > 0) Tile(html, units.SmallWithUnit(all.P95Mm), "95 of 100 places are within this of their line");
        Tile(html, $"{all.NodesMeasured} of {report.Intersections.Count}", "crossings measured");
        if (all.NodeP95Mm is { } p95) Tile(html, units.SmallWithUnit(p95), "95 of 100 crossings are within this of their place");
        html.Raw("</ul>\n");
        if (headline.WhereFrom is not null || headline.TryNext is not null)
        {
            html.Raw("<div class=\"next\">\n");
            if (headline.WhereFrom is { } from) html.Raw("<p><strong>Where it comes from.</strong> ").Text(from).Raw("</p>\n");
            if (headline.TryNext is { } next) html.Raw("<p><strong>What to try next.</strong> ").Text(next).Raw("</p>\n");
            html.Raw("</div>\n");
        }
        html.Raw("</section>\n");
    }

    private static void Tile(HtmlText html, string figure, string words) => html.Raw("<li>").Element("b", figure).Element("span", words).Raw("</li>\n");

    public static void Cautions(HtmlText html, AccuracyReport report)
    {
        if (report.Reasons.Count == 0 && report.GridSuggestion is null && report.ExtraLines.Count == 0) return;
        html.Raw("<section class=\"caution\">\n<h2>Read with care</h2>\n<ul>\n");
        // The suggestion of another grid says it once, with the call to copy.
        foreach (Reason reason in report.Reasons.Where(r => report.GridSuggestion is null || r.Code is not ("other-grid" or "grid-moved")))
            html.Raw("<li><strong>").Text(reason.Message).Raw("</strong> ").Text(reason.Advice).Raw("</li>\n");
        if (report.GridSuggestion is { } other)
            html.Raw($"<li><strong>{(report.Settings.ContainsKey("grid") ? "The pattern found" : "Perhaps another grid")}.</strong> ").Text(other.Message).Raw(" To measure against it: <code>").Text(other.Command ?? other.CommandOptions).Raw("</code></li>\n");
        if (report.ExtraLines.Count == 1) html.Raw("<li>One stitched line was seen that is not in the intended grid (dotted in the picture); it is not counted.</li>\n");
        if (report.ExtraLines.Count > 1) html.Raw($"<li>{report.ExtraLines.Count} stitched lines were seen that are not in the intended grid (dotted in the picture); they are not counted.</li>\n");
        html.Raw("</ul>\n</section>\n");
    }
}
