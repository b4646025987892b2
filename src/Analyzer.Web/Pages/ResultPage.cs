using System.Globalization;
using System.Text.Json;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>The result: headline, cautions, the block with its lines, the tables, and what can be done with it.</summary>
internal static class ResultPage
{
    public static string Write(BlockJob job, string token, bool inches, IReadOnlyList<string> people)
    {
        AccuracyReport report = job.Outcome!.Report;
        string?[] links = ["/", $"/block/{job.Id}/corners", null];
        if (report.Outcome == "not-measurable")
        {
            return Layout.Page("Not measured", 2, token, "result.js", $"""
                <p class="outcome">{Layout.E(job.FileName)}</p>
                <h1>This photo could not be measured</h1>
                {ResultSections.Reasons(report)}
                {ResultSections.Suggestion(job)}
                <p class="stack"><a class="button" href="/block/{job.Id}/corners">Look at the corners</a> <a class="button quiet" href="/">Take another photo</a></p>
                <section class="card narrow"><h2>A photo that measures well</h2>{SetupPicture.Figure}</section>
                {ResultSections.Quality(report)}
                {ResultSections.Files(job)}
                """, links);
        }
        return Layout.Page("Result", 2, token, "result.js", $"""
            <p class="outcome">{Layout.E(ResultWords.Outcome(report.Outcome))} – {Layout.E(job.FileName)}</p>
            <h1>{ResultWords.Title(report)}</h1>
            {ResultSections.WhereFrom(job)}
            <ul class="plain findings">{string.Concat(ResultWords.Sentences(report).Select(s => $"<li>{s}</li>"))}</ul>
            <p class="hint">± is the give or take: with about 95 % confidence the true value lies within it (k = 2).</p>
            {ResultSections.Reasons(report)}
            {ResultSections.Suggestion(job)}
            <div class="bar" id="result" data-id="{job.Id}" data-unit="{(inches ? "in" : "mm")}" data-picture="{Layout.E(Picture(job.Outcome))}" data-photo-width="{job.WidthPx}" data-photo-height="{job.HeightPx}">
            <label class="slide">Show errors larger <input type="range" id="larger" min="1" max="20" step="1" value="5"> <output id="larger-word" for="larger">5 times</output></label>
            <fieldset class="inline"><legend>Units</legend><label><input type="radio" name="unit" value="mm"> mm</label> <label><input type="radio" name="unit" value="in"> inches</label></fieldset>
            <fieldset class="inline"><legend>Show</legend><label><input type="checkbox" id="show-photo" checked> photo</label> <label><input type="checkbox" id="show-meant" checked> meant (dashed)</label> <label><input type="checkbox" id="show-stitched" checked> stitched</label> <label><input type="checkbox" id="show-crossings" checked> crossings</label></fieldset>
            </div>
            <div class="bench">
            <div class="stage-box"><svg id="picture" role="img" aria-label="The block seen straight from above, with the lines meant and the lines stitched. All numbers are in the table below."></svg></div>
            <div class="card side" id="detail"><h2 id="detail-title">One line at a time</h2><p id="detail-words" aria-live="polite">Point at a line or a crossing, tap it, or choose its row in the tables.</p><svg id="wobble" role="img" aria-label="Wobble along the chosen line" hidden></svg><svg id="closeup" role="img" aria-label="The crossing, cut from the photo" hidden></svg><dl id="detail-numbers"></dl></div>
            </div>
            {ResultTables.Lines(report)}
            {ResultTables.Crossings(report)}
            {ResultSections.Practise(job)}
            <section class="noprint" aria-labelledby="save-title"><h2 id="save-title">Save in the log</h2>{SessionForm.Write(job, people)}</section>
            {ResultSections.Files(job)}
            {ResultSections.Quality(report)}
            """, links);
    }

    private static string Picture(AnalysisOutcome outcome) => outcome.Picture is not { } p ? "" : JsonSerializer.Serialize(
        new { width = p.WidthPx, height = p.HeightPx, perMm = p.PixelsPerMm, marginMm = p.MarginMm });
}
