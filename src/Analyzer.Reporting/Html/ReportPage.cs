using Analyzer.Core.Report;

namespace Analyzer.Reporting.Html;

/// <summary>report.html: one self-contained page without scripts. Also well-formed as XML.</summary>
internal static class ReportPage
{
    public static string Write(AccuracyReport report, BlockPicture? picture, ReportOptions options)
    {
        var units = new UnitFormat(options.Units);
        report = ReportSentences.In(report, options.Units == ReportUnits.Inches);
        var html = new HtmlText();
        Head(html, report);
        bool measured = report.Block is not null && report.Lines.Any(l => l.Samples.Count > 0);
        if (report.Outcome == "not-measurable") RefusedSections.Refused(html, report);
        else FindingSections.Headline(html, report, units);
        if (report.Outcome != "not-measurable") FindingSections.Cautions(html, report);
        if (report.Block is not null && (measured || picture is not null)) FigureSections.Block(html, report, picture, units);
        if (measured)
        {
            FigureSections.Causes(html, report, units);
            FigureSections.Wobble(html, report, units);
            FigureSections.Spread(html, report, units);
        }
        if (report.Lines.Count > 0)
        {
            TableSections.Families(html, report, units);
            TableSections.Lines(html, report, units);
            TableSections.Turns(html, report, units);
            TableSections.Marks(html, report, units);
            TableSections.Crossings(html, report, units);
        }
        TableSections.Quality(html, report);
        TextSections.Glossary(html);
        TextSections.Repeat(html, report, options, units);
        Foot(html, report);
        return html.ToString();
    }

    private static void Head(HtmlText html, AccuracyReport report)
    {
        string file = report.Photo?.File ?? "photo";
        html.Raw("<!DOCTYPE html>\n<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\">\n<head>\n<meta charset=\"utf-8\"/>\n");
        html.Raw($"<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src 'sha256-{PageStyle.Hash}'\"/>\n");
        html.Raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n");
        html.Element("title", $"Stitch accuracy report: {file}").Raw("<style>").Raw(PageStyle.Css).Raw("</style>\n</head>\n<body>\n<header>\n");
        html.Raw("<p class=\"file\">Stitch accuracy report · ").Text(file);
        if (report.Photo?.TakenOn is { Length: > 0 } taken) html.Raw(" · taken ").Text(TakenOnWords.Of(taken));
        if (report.Photo?.Camera is { Length: > 0 } camera) html.Raw(" · ").Text(camera);
        html.Raw("</p>\n</header>\n<main>\n");
    }

    private static void Foot(HtmlText html, AccuracyReport report) =>
        html.Raw("</main>\n<footer>\n<p>").Text(TextSections.Safety).Raw("</p>\n<p>Stitch Accuracy Analyzer ").Text(report.Software.Version)
            .Raw(". This page is one file: keep it, print it, or open it without a network.</p>\n</footer>\n</body>\n</html>\n");
}
