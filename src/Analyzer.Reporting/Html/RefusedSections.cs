using Analyzer.Core.Report;

namespace Analyzer.Reporting.Html;

/// <summary>The page's opening when the photo could not be measured: why, and what to do.</summary>
internal static class RefusedSections
{
    public static void Refused(HtmlText html, AccuracyReport report)
    {
        html.Raw("<section class=\"refused\">\n<h1>This photo could not be measured</h1>\n");
        html.Raw("<p>No numbers are given, because they would not be trustworthy. Why, and what to do:</p>\n<ul>\n");
        foreach (Reason reason in report.Reasons)
            html.Raw("<li><strong>").Text(reason.Message).Raw("</strong> ").Text(reason.Advice).Raw("</li>\n");
        if (report.Reasons.Count == 0) html.Raw("<li>No reason was recorded. Take the photo again as described below.</li>\n");
        html.Raw("</ul>\n</section>\n<section>\n<h2>How to take a photo that can be measured</h2>\n<ul>\n");
        foreach (string tip in TextSections.PhotoTips) html.Element("li", tip);
        html.Raw("</ul>\n</section>\n");
    }
}
