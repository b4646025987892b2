using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Reporting;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>The parts of a result page in words: where the error comes from, cautions, what to practise, files.</summary>
internal static class ResultSections
{
    public static string WhereFrom(BlockJob job)
    {
        PlainWords words = PlainWords.Of(job.Outcome!.Report, ReportUnits.Millimetres);
        if (words.WhereFrom is null && words.TryNext is null) return "";
        return $"""
            <div class="note next">{(words.WhereFrom is { } from ? $"<p><strong>Where it comes from.</strong> {Said(from)}</p>" : "")}{(words.TryNext is { } next ? $"<p><strong>What to try next.</strong> {Said(next)}</p>" : "")}</div>
            """;
    }

    /// <summary>A sentence in either unit; the script shows the one chosen.</summary>
    private static string Said(string sentence) => LengthSentence.In(sentence, inches: true) is var inInches && inInches == sentence
        ? Layout.E(sentence)
        : $"<span class=\"said\" data-mm=\"{Layout.E(sentence)}\" data-in=\"{Layout.E(inInches)}\">{Layout.E(sentence)}</span>";

    public static string Reasons(AccuracyReport report) => report.Reasons.Count == 0 ? "" :
        $"<section class=\"note caution\" aria-labelledby=\"cautions-title\"><h2 id=\"cautions-title\">{(report.Outcome == "not-measurable" ? "Why, and what to do" : "Take care")}</h2><ul>{string.Concat(report.Reasons.Select(r => $"<li>{Said(r.Message)} <span class=\"advice\">{Said(r.Advice)}</span></li>"))}</ul></section>";

    /// <summary>Another regular grid that the stitching fits better: one press measures with it.</summary>
    public static string Suggestion(BlockJob job)
    {
        if (job.Outcome!.Report.GridSuggestion is not { Families.Count: > 0 } other) return "";
        string lines = "lines:" + string.Join("; ", other.Families.Select(f => string.Create(CultureInfo.InvariantCulture, $"{f.AngleDeg:0.####}deg {f.SpacingMm:0.####}mm {f.ThroughMm[0]:0.####}mm,{f.ThroughMm[1]:0.####}mm")));
        return $"""
            <section class="note" aria-labelledby="other-title"><h2 id="other-title">Perhaps another grid</h2><p>{Said(other.Message)}</p>
            <p><button type="button" class="button quiet small" id="other-grid" data-id="{job.Id}" data-size="{Layout.E(job.Choice.SizeText)}" data-grid="{Layout.E(lines)}">Measure again with that grid</button></p></section>
            """;
    }

    /// <summary>What stands out, tested together, with a drill for each; nothing where the report does not carry it.</summary>
    public static string Practise(BlockJob job)
    {
        FindingList next;
        try
        {
            next = FindingReader.Read(new ComparedBlock(job.Outcome!.Report, job.FileName, BlockComparer.DefaultToleranceMm), job.Choice.Order);
        }
        catch (FormatException)
        {
            return "";
        }
        // What the headline advises rests on all lines together; here nothing more may be found, which is no contradiction when it is said.
        string? first = PlainWords.Of(job.Outcome.Report, ReportUnits.Millimetres) is { WhereFrom: not null, TryNext: { } advice } ? advice : null;
        string cards = next.Findings.Count == 0 && first is not null ? $"<p>{Said(first)}</p><p>Beyond that nothing stands out: what is left looks like chance spread over all lines.</p>"
            : next.Findings.Count == 0 ? $"<p>{Layout.E(FindingList.NothingStandsOut)}</p>"
            : "<ol class=\"drills\">" + string.Concat(next.Findings.Select(f => $"<li><strong>{Said(f.Sentence)}</strong> {Said(f.Drill)}</li>")) + "</ol>";
        return $"<section aria-labelledby=\"practise-title\"><h2 id=\"practise-title\">What to practise next</h2>{cards}<p class=\"hint\">{Layout.E(FindingList.Safety)}</p></section>";
    }

    public static string Quality(AccuracyReport report) => report.Quality.Count == 0 ? "" : $"""
        <details><summary>How good the photo is</summary><div class="scroll" tabindex="0" role="region" aria-label="Photo quality"><table><thead><tr><th scope="col">What</th><th scope="col">Judged</th><th scope="col" class="num">Value</th><th scope="col">What helps</th></tr></thead><tbody>
        {string.Concat(report.Quality.Select(q => string.Create(CultureInfo.InvariantCulture, $"<tr><th scope=\"row\">{Layout.E(q.Name)}</th><td>{Layout.E(q.Level)}</td><td class=\"num\">{q.Value:0.##} {Layout.E(q.Unit)}</td><td>{(q.Level == "good" ? "" : Layout.E(q.Advice))}</td></tr>")))}
        </tbody></table></div></details>
        """;

    public static string Files(BlockJob job)
    {
        bool block = job.Outcome!.Report is { Block: not null, Lines.Count: > 0 };
        return $"""
            <section class="noprint" aria-labelledby="keep-title"><h2 id="keep-title">Keep it</h2>
            <ul class="plain files">{string.Concat(ResultFiles.Names.Where(f => block || f.Name != ReportFiles.Overlay).Select(f => $"<li><a class=\"file-link\" data-base=\"/block/{job.Id}/{f.Name}\" href=\"/block/{job.Id}/{f.Name}\"{(f.Opens ? " target=\"_blank\" rel=\"noopener\"" : " download")}>{f.Name}</a> – {Layout.E(f.Words)}</li>"))}</ul>
            <p class="stack">{(block && job.Outcome.Report.Lines.Any(l => l.Samples.Count > 0) ? $"<a class=\"button quiet small\" href=\"/compare?after=b-{job.Id}\">Compare with another block</a> " : "")}<button type="button" class="button quiet small" id="remove" data-id="{job.Id}">Remove this photo</button></p></section>
            """;
    }
}
