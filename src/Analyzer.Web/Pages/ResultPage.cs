using System.Globalization;
using System.Text.Json;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>The result: headline, cautions, the block with its lines, and the tables.</summary>
internal static class ResultPage
{
    public static string Write(BlockJob job, string token, bool inches)
    {
        AccuracyReport report = job.Outcome!.Report;
        string?[] links = ["/", $"/block/{job.Id}/corners", null];
        if (report.Outcome == "not-measurable")
        {
            return Layout.Page("Not measured", 2, token, "result.js", $"""
                <p class="outcome">{Layout.E(job.FileName)}</p>
                <h1>This photo could not be measured</h1>
                {Reasons(report)}
                {Quality(report)}
                <p><a class="button" href="/block/{job.Id}/corners">Look at the corners</a> <a class="button quiet" href="/">Take another photo</a></p>
                {Files(job)}
                """, links);
        }
        return Layout.Page("Result", 2, token, "result.js", $"""
            <p class="outcome">{Layout.E(ResultWords.Outcome(report.Outcome))} – {Layout.E(job.FileName)}</p>
            <h1>{ResultWords.Title(report)}</h1>
            <ul class="plain findings">{string.Concat(ResultWords.Sentences(report).Select(s => $"<li>{s}</li>"))}</ul>
            <p class="hint">± is the give or take: with about 95 % confidence the true value lies within it (k = 2).</p>
            {Reasons(report)}
            <div class="bar" id="result" data-id="{job.Id}" data-unit="{(inches ? "in" : "mm")}" data-picture="{Layout.E(Picture(job.Outcome))}">
            <label class="slide">Show errors larger <input type="range" id="larger" min="1" max="20" step="1" value="5"> <output id="larger-word" for="larger">5 times</output></label>
            <fieldset class="inline"><legend>Units</legend><label><input type="radio" name="unit" value="mm"> mm</label> <label><input type="radio" name="unit" value="in"> inches</label></fieldset>
            <fieldset class="inline"><legend>Show</legend><label><input type="checkbox" id="show-photo" checked> photo</label> <label><input type="checkbox" id="show-meant" checked> meant (dashed)</label> <label><input type="checkbox" id="show-stitched" checked> stitched</label> <label><input type="checkbox" id="show-crossings" checked> crossings</label></fieldset>
            </div>
            <div class="bench">
            <div class="stage-box"><svg id="picture" role="img" aria-label="The block seen straight from above, with the lines meant and the lines stitched. All numbers are in the table below."></svg></div>
            <div class="card side" id="detail"><h2 id="detail-title">One line at a time</h2><p id="detail-words" aria-live="polite">Point at a line or tap it, or choose its row in the table.</p><svg id="wobble" role="img" aria-label="Wobble along the chosen line" hidden></svg><dl id="detail-numbers"></dl></div>
            </div>
            <h2 id="lines-title">Lines</h2>
            <p class="hint">Choose a row to see the line in the picture. <strong>Beside its place</strong>: how far the middle of the line lies beside where it was meant to be; <strong>wobble</strong>: r.m.s. about the line's own straight line; <strong>widest swing</strong>: between its outermost places on either side.</p>
            <div class="scroll" tabindex="0" role="region" aria-labelledby="lines-title"><table id="lines" class="sortable">
            <thead><tr>{Head("Line", true)}{Head("State", false)}{Head("Seen", true)}{Head("Beside its place", true)}{Head("Turned by", true)}{Head("Wobble", true)}{Head("Widest swing", true)}</tr></thead>
            <tbody>{string.Concat(report.Lines.Select(Row))}</tbody></table></div>
            <details><summary>Crossings ({report.Intersections.Count})</summary>
            <div class="scroll" tabindex="0" role="region" aria-label="Crossings"><table id="crossings" class="sortable">
            <thead><tr>{Head("Crossing", true)}{Head("Off its place", true)}{Head("Lines miss each other by", true)}</tr></thead>
            <tbody>{string.Concat(report.Intersections.Select(Crossing))}</tbody></table></div></details>
            {Quality(report)}
            {Files(job)}
            <p><a class="button quiet" href="/block/{job.Id}/corners">Back to the corners</a> <a class="button quiet" href="/">Another photo</a> <button type="button" class="link" id="remove" data-id="{job.Id}">Remove this photo</button></p>
            """, links);
    }

    private static string Picture(AnalysisOutcome outcome) => outcome.Picture is not { } p ? "" : JsonSerializer.Serialize(
        new { width = p.WidthPx, height = p.HeightPx, perMm = p.PixelsPerMm, marginMm = p.MarginMm });

    private static string Head(string name, bool isNumber) =>
        $"<th scope=\"col\"{(isNumber ? " class=\"num\"" : "")}><button type=\"button\" class=\"sort\">{Layout.E(name)}<span class=\"arrow\" aria-hidden=\"true\"></span></button></th>";

    private static string Row(LineReport line)
    {
        string coverage = line.Status is "measured" or "partial" ? string.Create(CultureInfo.InvariantCulture, $"{100 * line.Coverage:0} %") : "–";
        return $"""
            <tr data-line="{Layout.E(line.Id)}"><th scope="row" data-sort="{line.Family * 10000 + line.Index + 5000}"><button type="button" class="pick"><span class="swatch f{line.Family % 6}" aria-hidden="true"></span>{Layout.E(line.Id)}</button></th>
            <td>{Layout.E(ResultWords.Status(line.Status))}</td><td class="num" data-sort="{Sort(line.Coverage)}">{coverage}</td>
            {Cell(line.OffsetMm, ResultWords.Length(line.OffsetMm))}{Cell(line.AngleDeg, ResultWords.Degrees(line.AngleDeg))}{Cell(line.StraightnessRmsMm, ResultWords.Length(line.StraightnessRmsMm))}{Cell(line.StraightnessTotalMm, ResultWords.Length(line.StraightnessTotalMm))}</tr>
            """;
    }

    private static string Crossing(IntersectionReport crossing) => $"""
        <tr data-crossing="{Layout.E(crossing.Id)}"><th scope="row"><button type="button" class="pick">{Layout.E(crossing.Id)}</button></th>{Cell(crossing.RadialMm, ResultWords.Length(crossing.RadialMm))}{(crossing.MissTriangleMm is { } miss ? Cell(miss, ResultWords.Length(miss)) : "<td class=\"num\" data-sort=\"-1\">two lines only</td>")}</tr>
        """;

    /// <summary>Sorted by size: a line off to the left counts like one off to the right. What is not known comes last.</summary>
    private static string Cell(MeasuredValue value, string html) => $"<td class=\"num\" data-sort=\"{Sort(value.Value is { } v ? Math.Abs(v) : -1)}\">{html}</td>";

    private static string Sort(double value) => value.ToString("0.#####", CultureInfo.InvariantCulture);

    private static string Reasons(AccuracyReport report) => report.Reasons.Count == 0 ? "" :
        $"<section class=\"note caution\" aria-labelledby=\"cautions-title\"><h2 id=\"cautions-title\">{(report.Outcome == "not-measurable" ? "Why, and what to do" : "Take care")}</h2><ul>{string.Concat(report.Reasons.Select(r => $"<li>{Layout.E(r.Message)} <span class=\"advice\">{Layout.E(r.Advice)}</span></li>"))}</ul></section>";

    private static string Quality(AccuracyReport report) => report.Quality.Count == 0 ? "" : $"""
        <details><summary>How good the photo is</summary><div class="scroll" tabindex="0" role="region" aria-label="Photo quality"><table><thead><tr><th scope="col">What</th><th scope="col">Judged</th><th scope="col" class="num">Value</th><th scope="col">What helps</th></tr></thead><tbody>
        {string.Concat(report.Quality.Select(q => string.Create(CultureInfo.InvariantCulture, $"<tr><th scope=\"row\">{Layout.E(q.Name)}</th><td>{Layout.E(q.Level)}</td><td class=\"num\">{q.Value:0.##} {Layout.E(q.Unit)}</td><td>{(q.Level == "good" ? "" : Layout.E(q.Advice))}</td></tr>")))}
        </tbody></table></div></details>
        """;

    private static string Files(BlockJob job) => $"""
        <h2>Keep it</h2>
        <ul class="plain files">{string.Concat(ResultFiles.Names.Select(f => $"<li><a class=\"file-link\" data-base=\"/block/{job.Id}/{f.Name}\" href=\"/block/{job.Id}/{f.Name}\"{(f.Opens ? " target=\"_blank\" rel=\"noopener\"" : " download")}>{f.Name}</a> – {Layout.E(f.Words)}</li>"))}</ul>
        """;
}
