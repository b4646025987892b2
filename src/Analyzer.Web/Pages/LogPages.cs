using System.Globalization;
using Analyzer.Core.Units;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Log;
using Analyzer.Practice.Pages;
using Analyzer.Practice.Progress;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>The practice log: what was sewn, one session, and how it moves over time.</summary>
internal static class LogPages
{
    public static string Overview(Workbench workbench, IReadOnlyList<PracticeSession> sessions, IReadOnlyList<string> people, string? who, bool inches)
    {
        string empty = sessions.Count > 0 ? "" : who is { Length: > 0 } ? $"<p class=\"note\">The log holds nothing of {Layout.E(who)}.</p>" : """
            <p class="note">The log is empty. <a href="/">Measure a block</a> and choose <strong>Save in the log</strong> under its result, or note minutes of practice below. With two blocks the progress page sets them side by side; from five on it tells which way things move.</p>
            """;
        string filter = people.Count < 2 ? "" : $"""
            <form class="fields" action="/log" method="get"><label>Show <select name="who" id="who-filter"><option value="">everybody</option>{string.Concat(people.Select(p => $"<option{(p.Equals(who, StringComparison.OrdinalIgnoreCase) ? " selected" : "")}>{Layout.E(p)}</option>"))}</select></label> {(inches ? "<input type=\"hidden\" name=\"units\" value=\"in\">" : "")}<button type="submit" class="button quiet small">Show</button></form>
            """;
        string table = sessions.Count == 0 ? "" : $"""
            <div class="scroll" tabindex="0" role="region" aria-label="Sessions"><table class="rows">
            <thead><tr><th scope="col">Date</th><th scope="col">Who</th><th scope="col" class="num">Minutes</th><th scope="col" class="num">Blocks</th><th scope="col" class="num">Ruler placement</th><th scope="col" class="num">Wobble r.m.s.</th><th scope="col" class="num">Crossing error</th><th scope="col">Note</th></tr></thead>
            <tbody>{string.Concat(sessions.Reverse().Select(s => Row(s, inches)))}</tbody></table></div>
            <p class="hint">Ruler placement, wobble and crossing error are those of the session's last block; ± is two standard uncertainties. {OtherUnits(who is { Length: > 0 } ? "/log?who=" + Uri.EscapeDataString(who) : "/log", inches)}</p>
            """;
        string progress = string.Concat((who is { Length: > 0 } && people.Any(p => p.Equals(who, StringComparison.OrdinalIgnoreCase)) ? [who] : people).Select(p => $"<a class=\"button quiet\" href=\"/log/progress?who={Uri.EscapeDataString(p)}{(inches ? "&amp;units=in" : "")}\">Progress of {Layout.E(p)}</a> "));
        return Layout.Area("Practice log", "Log", workbench.Token.Text, "log.js", $"""
            <h1>Practice log</h1>
            {empty}{filter}
            {(progress.Length > 0 ? $"<p class=\"stack\">{progress}</p>" : "")}
            {table}
            <details id="note-box"{(sessions.Count == 0 ? " open" : "")}><summary>Note practice without a block</summary>{SessionForm.Write(null, people)}</details>
            <details><summary>Keep, move and mend the log</summary>
            <p class="stack"><a class="button quiet small" href="/log/export.zip" download>Export everything (zip)</a> <label class="button quiet small" for="import">Import a zip</label><input id="import" class="file" type="file" accept=".zip,application/zip"> <button type="button" class="button quiet small" id="backup">Make a backup now</button></p>
            <p id="log-said" aria-live="polite"></p>
            {(people.Count == 0 ? "" : $"<form id=\"forget\" class=\"fields\"><label>Remove everything of <select id=\"forget-who\">{string.Concat(people.Select(p => $"<option>{Layout.E(p)}</option>"))}</select></label> <label class=\"check\"><input type=\"checkbox\" id=\"forget-sure\"> I am sure</label> <button type=\"submit\" class=\"button quiet small\">Remove</button></form>")}
            <p class="hint">The log is the file {Layout.E(workbench.Log.Path)}. It is backed up beside itself once a day. A person is a nickname; nothing else about a person is kept, and photos are not copied.</p></details>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            """);
    }

    private static string Row(PracticeSession s, bool inches)
    {
        BlockNumbers? n = s.Blocks.Count > 0 ? BlockNumbers.TryOf(s.Blocks[^1].ReportJson) : null;
        string note = s.Note is null ? "<td></td>" : $"<td class=\"full-row\" data-label=\"Note\">{Layout.E(Short(s.Note))}</td>";
        return string.Create(CultureInfo.InvariantCulture, $"<tr><th scope=\"row\"><a href=\"/log/{s.Id}{(inches ? "?units=in" : "")}\">{s.HeldOn:yyyy-MM-dd}</a></th><td data-label=\"Who\">{Layout.E(s.Who)}</td><td class=\"num\" data-label=\"Minutes\">{(s.Minutes is { } m ? m.ToString("0.#", CultureInfo.InvariantCulture) : "–")}</td><td class=\"num\" data-label=\"Blocks\">{s.Blocks.Count}</td>{Cell(n, Measure.Offset, inches)}{Cell(n, Measure.Wobble, inches)}{Cell(n, Measure.Crossing, inches)}{note}</tr>");
    }

    private static string Short(string? note) => note is null ? "" : note.Length > 60 ? note[..59] + "…" : note;

    private static string Cell(BlockNumbers? numbers, Measure m, bool inches) =>
        $"<td class=\"num\" data-label=\"{Layout.E(m.Name)}\">{(numbers?.Of(m) is { Value: { } value } v ? Value(m, value, v.U, inches) : "–")}</td>";

    /// <summary>With its give or take and, last, the unit.</summary>
    private static string Value(Measure m, double value, double? u, bool inches) =>
        u is { } known ? $"{m.Text(value, inches: inches)} ± {m.Unsure(known, true, inches)}" : m.Text(value, true, inches: inches);

    public static string Session(Workbench workbench, PracticeSession s, bool inches)
    {
        string[][] facts = [["Minutes", s.Minutes?.ToString("0.#", CultureInfo.InvariantCulture) ?? ""], ["Machine", s.Machine ?? ""], ["Foot", s.Foot ?? ""], ["Thread", s.Thread ?? ""], ["Fabric", s.Fabric ?? ""], ["Note", s.Note ?? ""]];
        return Layout.Area("Session", "Log", workbench.Token.Text, "log.js", string.Create(CultureInfo.InvariantCulture, $"""
            <p class="outcome"><a href="/log{(inches ? "?units=in" : "")}">Practice log</a> · {OtherUnits($"/log/{s.Id}", inches)}</p>
            <h1>{Layout.E(s.Who)}, {s.HeldOn:d MMMM yyyy}</h1>
            <dl class="left">{string.Concat(facts.Where(f => f[1].Length > 0).Select(f => $"<dt>{f[0]}</dt><dd>{Layout.E(f[1])}</dd>"))}</dl>
            {(s.Blocks.Count == 0 ? "<p class=\"note\">Minutes only; no block was photographed in this session.</p>" : string.Concat(s.Blocks.Select((b, i) => Block(s, b, i + 1, inches))))}
            <form id="remove-session" data-id="{s.Id}" class="fields"><label class="check"><input type="checkbox" id="remove-sure"> I want this session out of the log</label> <button type="submit" class="button quiet small">Remove it</button></form>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            """));
    }

    /// <summary>A link to the same page in the other unit.</summary>
    private static string OtherUnits(string address, bool inches) =>
        $"<a class=\"noprint\" href=\"{Layout.E(address)}{(inches ? "" : address.Contains('?', StringComparison.Ordinal) ? "&amp;units=in" : "?units=in")}\">{(inches ? "Show in mm" : "Show in inches")}</a>";

    private static string Block(PracticeSession s, PracticeBlock block, int number, bool inches)
    {
        string path = string.Create(CultureInfo.InvariantCulture, $"/log/{s.Id}/{number}");
        string numbers;
        try
        {
            var compared = new ComparedBlock(Core.Report.ReportJson.Read(block.ReportJson), "block", BlockComparer.DefaultToleranceMm);
            BlockNumbers n = BlockNumbers.Of(compared);
            FindingList next = FindingReader.Read(compared);
            numbers = $"""
                <table><tbody>{string.Concat(Measure.All.Where(m => n.Of(m).Value is not null).Select(m => $"<tr><th scope=\"row\">{Layout.E(m.Name)}<br><span class=\"hint\">{Layout.E(m.Explanation)}</span></th><td class=\"num\">{Value(m, n.Of(m).Value!.Value, n.Of(m).U, inches)}</td></tr>"))}</tbody></table>
                <h3>What to practise next</h3>
                {(next.Findings.Count == 0 ? $"<p>{Layout.E(FindingList.NothingStandsOut)}</p>" : string.Concat(next.Findings.Select(f => $"<p><strong>{Layout.E(LengthSentence.In(f.Sentence, inches))}</strong> {Layout.E(LengthSentence.In(f.Drill, inches))}</p>")))}
                """;
        }
        catch (FormatException trouble)
        {
            numbers = $"<p class=\"note caution\">{Layout.E(trouble.Message)}</p>";
        }
        return $"""
            <section class="card" aria-labelledby="block-{number}"><h2 id="block-{number}">Block {number}: {Layout.E(DisplayName.Of(block.PhotoPath))}{(block.Plan is null ? "" : $", plan {Layout.E(block.Plan)}")}</h2>
            <div class="two tight"><div>{(block.OverlayPng is null ? "" : $"<img class=\"wide\" src=\"{path}/overlay.png\" alt=\"The block with its intended and stitched lines\">")}
            <p class="stack"><a class="button quiet small" href="{path}/report.json" download>report.json</a> <a class="button quiet small" href="/compare?before=l-{s.Id.ToString(CultureInfo.InvariantCulture)}-{number}">Compare with another block</a></p></div>
            <div>{numbers}</div></div></section>
            """;
    }

    public static string Progress(Workbench workbench, PracticeProgress progress) => Layout.Area($"Progress of {progress.Who}", "Log", workbench.Token.Text, "log.js", $"""
        <p class="stack noprint"><a class="button quiet small" href="/log{(progress.Inches ? "?units=in" : "")}">Practice log</a> <a class="button quiet small" href="/log/progress.html?who={Uri.EscapeDataString(progress.Who)}{(progress.Inches ? "&amp;units=in" : "")}" download>Save the page</a> <button type="button" class="button quiet small" id="print">Print</button> {OtherUnits($"/log/progress?who={Uri.EscapeDataString(progress.Who)}", progress.Inches)}</p>
        <div class="paper">{ProgressPage.Body(progress)}</div>
        """);

    /// <summary>The log cannot be used as it is; the sentence says why and what to do.</summary>
    public static string Unusable(Workbench workbench, string sentence) => Layout.Area("Practice log", "Log", workbench.Token.Text, null, $"<h1>Practice log</h1><p class=\"note caution\">{Layout.E(sentence)}</p>");
}
