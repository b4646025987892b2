using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>What is being done, stage by stage, and a way to stop it. Also says why a photo cannot be used.</summary>
internal static class WaitingPage
{
    public static string Write(BlockJob job, string token)
    {
        BlockRun? run = job.Run;
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
