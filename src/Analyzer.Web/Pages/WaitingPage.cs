using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>What is being done, stage by stage, and a way to stop it. Also says why a photo cannot be used.</summary>
internal static class WaitingPage
{
    public static string Write(BlockJob job, string token)
    {
        BlockRun? run = job.Run;
        if (run is null && job.IsLeft) return Left(job, token);
        if (run is null)
        {
            return Layout.Page("Photo cannot be used", 0, token, "waiting.js", $"""
                <h1>This photo cannot be used</h1>
                <p class="note caution">{Layout.E(job.Trouble ?? "The work was stopped.")}</p>
                <p><button type="button" class="button quiet" id="again" data-id="{job.Id}">Try the same photo again</button> <a class="button" href="/">Take another photo</a></p>
                <p id="trouble" class="trouble" role="alert" hidden></p>
                <section class="card narrow"><h2>A photo that measures well</h2>{SetupPicture.Figure}</section>
                """, ["/", null, null]);
        }
        return Working(job, run, token);
    }

    /// <summary>A photo of a run that ended before it was measured: go on as it was, or remove it.</summary>
    private static string Left(BlockJob job, string token) => Layout.Page("Not finished", 0, token, "waiting.js", $"""
        <h1>{Layout.E(job.FileName)} is not finished</h1>
        <p class="lead">The workbench ended before this photo was measured. {(job.Marked is null ? "Size and pattern" : "Size, pattern and corners")} are as you had chosen them.</p>
        <p class="stack"><button type="button" class="button" id="again" data-id="{job.Id}"{(job.Marked is { } corners ? $" data-corners=\"{Layout.E(System.Text.Json.JsonSerializer.Serialize(corners.Select(c => new[] { c.X, c.Y })))}\" data-exact=\"{(job.Exact ? "1" : "0")}\"" : "")}>{(job.Marked is null ? "Go on with this photo" : "Measure it now")}</button> <button type="button" class="button quiet" id="remove" data-id="{job.Id}">Remove this photo</button> <a class="button quiet" href="/">Take another photo</a></p>
        <p class="hint">It came in on {job.Since!.Value.ToLocalTime().ToString("d MMMM, HH:mm", System.Globalization.CultureInfo.InvariantCulture)} and is kept for a day at most.</p>
        <p id="trouble" class="trouble" role="alert" hidden></p>
        """, ["/", null, null]);

    private static string Working(BlockJob job, BlockRun run, string token)
    {
        IReadOnlyList<(string Stage, string Words)> stages = run.IsMeasuring ? StageWords.Measuring : StageWords.Opening;
        return Layout.Page(run.IsMeasuring ? "Measuring" : "Opening", run.IsMeasuring ? 2 : 1, token, "waiting.js", $"""
            <h1>{(run.IsMeasuring ? "Measuring" : "Opening")} {Layout.E(job.FileName)}</h1>
            <p id="now" aria-live="polite">Waiting for its turn.</p>
            <ol id="stages" class="stages" data-id="{job.Id}" data-measuring="{(run.IsMeasuring ? "1" : "0")}">{string.Concat(stages.Select(s => $"<li data-stage=\"{Layout.E(s.Stage)}\"><span class=\"mark\" aria-hidden=\"true\"></span>{Layout.E(s.Words)}<span class=\"done-word\"></span></li>"))}</ol>
            <p><button type="button" class="button quiet" id="stop">Stop</button></p>
            <p class="hint">You may close this page and come back through Measure; the work goes on.</p>
            """, ["/", null, null]);
    }
}
