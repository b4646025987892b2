using Analyzer.Core.Report;
using Analyzer.Reporting.Html;

namespace Analyzer.Reporting;

/// <summary>What a report says first, as plain sentences, for pages that lay it out themselves.</summary>
/// <param name="WhereFrom">Where most of the error comes from, or null where that is not known.</param>
/// <param name="TryNext">What to try next (common practice, no source), or null.</param>
public sealed record PlainWords(string Title, IReadOnlyList<string> Sentences, string? WhereFrom, string? TryNext)
{
    public static PlainWords Of(AccuracyReport report, ReportUnits units)
    {
        Headline headline = Headline.Of(report, new UnitFormat(units));
        return new PlainWords(headline.Title, headline.Sentences, headline.WhereFrom, headline.TryNext);
    }
}
