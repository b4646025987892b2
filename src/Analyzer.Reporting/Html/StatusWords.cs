using Analyzer.Core.Report;

namespace Analyzer.Reporting.Html;

/// <summary>What a line's status means, in plain words.</summary>
internal static class StatusWords
{
    public static string Of(LineReport line) => line.Status switch
    {
        "measured" => "measured",
        "partial" => "seen in part",
        "not-found" => "not found",
        "unreadable" => "unreadable",
        _ => line.Status,
    };

    public static string Sentence(LineReport line)
    {
        string meaning = line.Status switch
        {
            "not-found" => "No stitching was found near this intended line.",
            "unreadable" => "Stitching may be there, but the photo does not show it clearly enough to measure.",
            _ => "No place on this line could be measured.",
        };
        return line.Notes.Count > 0 ? meaning + " " + string.Join(" ", line.Notes) : meaning;
    }
}
