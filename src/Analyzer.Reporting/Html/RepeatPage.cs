using System.Globalization;
using Analyzer.Core.Report;

namespace Analyzer.Reporting.Html;

/// <summary>The page of several photos of one block taken together.</summary>
public static class RepeatPage
{
    public static string Write(RepeatReport repeats)
    {
        var html = new HtmlText();
        html.Raw("<!DOCTYPE html>\n<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\">\n<head>\n<meta charset=\"utf-8\"/>\n");
        html.Raw($"<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src 'sha256-{PageStyle.Hash}'\"/>\n");
        html.Raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>Photos taken together</title><style>").Raw(PageStyle.Css).Raw("</style>\n</head>\n<body>\n<main>\n");
        html.Element("h1", repeats.IsOneBlock ? $"{repeats.Photos.Count} photos of one block, taken together" : "These photos show different blocks");
        html.Element("p", string.Join(", ", repeats.Photos), "class=\"file\"");
        foreach (string remark in repeats.Remarks) html.Element("p", remark);
        if (repeats.Measures.Count > 0) Overview(html, repeats);
        foreach (RepeatMeasure measure in repeats.Measures) Details(html, measure);
        html.Raw("</main>\n</body>\n</html>\n");
        return html.ToString();
    }

    private static void Overview(HtmlText html, RepeatReport repeats)
    {
        html.Raw("<section>\n<h2>How well a photo repeats</h2>\n<table>\n<thead><tr><th>Number</th><th>Typical size</th><th>Spread from photo to photo</th><th>Smallest change that counts, one photo against one</th><th>")
            .Text($"the mean of {repeats.Photos.Count} against the mean of {repeats.Photos.Count}").Raw("</th></tr></thead>\n<tbody>\n");
        foreach (RepeatMeasure m in repeats.Measures)
        {
            double[] sizes = [.. m.Items.Select(i => Math.Abs(i.Mean)).Order()];
            html.Raw("<tr><th>").Text(Words(m.Name)).Raw("</th><td>").Text(Say(sizes[sizes.Length / 2], m.Unit)).Raw("</td><td>").Text(Say(m.RepeatabilitySd, m.Unit))
                .Raw("</td><td>").Text(Say(m.SmallestChangeOnePhoto, m.Unit)).Raw("</td><td>").Text(Say(m.SmallestChangeMean, m.Unit)).Raw("</td></tr>\n");
        }
        html.Raw("</tbody>\n</table>\n<p class=\"small\">The spread is the repeatability standard deviation of ISO 5725-2, with the lines as levels and the photos as repeats; the smallest change is 2.8 times it.</p>\n</section>\n");
    }

    private static void Details(HtmlText html, RepeatMeasure measure)
    {
        html.Raw("<section>\n").Element("h2", Words(measure.Name)).Raw("<table>\n<thead><tr><th>").Text(measure.Name == "crossing" ? "Crossing" : "Line").Raw("</th><th>Mean</th><th>Spread</th><th>Each photo</th></tr></thead>\n<tbody>\n");
        foreach (RepeatItem item in measure.Items)
        {
            html.Raw("<tr><th>").Text(item.Id).Raw("</th><td>").Text(Say(item.Mean, measure.Unit)).Raw("</td><td>").Text(Say(item.Sd, measure.Unit)).Raw("</td><td>")
                .Text(string.Join("   ", item.Values.Select(v => v.ToString("0.000", CultureInfo.InvariantCulture)))).Raw("</td></tr>\n");
        }
        html.Raw("</tbody>\n</table>\n</section>\n");
    }

    private static string Words(string name) => name switch
    {
        "wobble" => "Wobble (r.m.s.)",
        "whole width" => "Wobble, whole width",
        "offset" => "Offset of the middle of the line",
        "angle" => "Angle of the line",
        _ => "Crossing error",
    };

    private static string Say(double value, string unit) => value.ToString("0.000", CultureInfo.InvariantCulture) + (unit == "deg" ? "°" : " mm");
}
