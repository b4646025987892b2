using Analyzer.Web.Blocks;
using Analyzer.Web.Plans;
using Analyzer.Web.Practice;

namespace Analyzer.Web.Pages;

/// <summary>Where everything begins: the sample block, or one's own photo with size and pattern; and what lies on the bench already.</summary>
internal static class StartPage
{
    public static string Write(Workbench workbench, string? planId = null)
    {
        KeptPlan? plan = workbench.Plans.Find(planId);
        string sample = workbench.SamplePhoto is null || plan is not null ? "" : """
            <section class="card sample" aria-labelledby="sample-title">
            <div><h2 id="sample-title">First time here?</h2>
            <p>See a whole result on a block that is ready: eight inches, triangles one inch apart.</p></div>
            <button type="button" id="open-sample" class="button quiet">Open the sample block</button>
            </section>
            """;
        return Layout.Page("Photo", 0, workbench.Token.Text, "start.js", $"""
            <h1>How straight did you stitch?</h1>
            <p class="lead">Photograph a finished practice block. You will see each line you stitched beside the line you meant to stitch, and how far they lie apart.</p>
            {Bench(workbench)}
            {sample}
            <form id="photo-form" class="two" novalidate>
            <div class="card">
            {ChoiceForm.Write(plan?.SizeText ?? workbench.Options.SampleSize, plan is null ? workbench.Options.SampleGrid : "plan:" + plan.Id, plan)}
            <figure class="grid-preview"><svg id="grid-preview" role="img" aria-label="The pattern on your block"></svg><figcaption id="grid-words" class="hint"></figcaption></figure>
            </div>
            <div class="card">
            <h2>Your photo</h2>
            <div id="drop" class="drop">
            <p class="big">Drop the photo here</p>
            <p class="stack centre"><label class="button quiet" for="file">Choose a photo</label><input id="file" class="file" type="file" accept="image/*,.heic,.heif,.tif,.tiff"> <a class="button quiet" href="/phone{(plan is null ? "" : "?plan=" + plan.Id)}">From your phone</a></p>
            <p class="hint">or copy it elsewhere and paste it here (Ctrl V). JPEG, PNG, WebP, TIFF or HEIC, up to {workbench.Options.LargestPhoto >> 20} MB.</p>
            <img id="thumb" alt="The chosen photo" hidden>
            <p id="chosen" class="chosen" aria-live="polite"></p>
            </div>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            <div id="sending" hidden><label for="sent">Handing over the photo</label> <progress id="sent" max="1" value="0"></progress> <button type="button" id="stop-sending" class="button quiet small">Stop</button></div>
            <p><button type="submit" class="button" id="go">Find the block</button></p>
            <h3>A photo that measures well</h3>
            {SetupPicture.Figure}
            <p class="hint">No flash, no shadow of yours across it. Let the block lie unstretched, tap it to focus, and hold still. Before you lay it out: machine off, needle, pins and rotary cutter out of the way.</p>
            </div>
            </form>
            """);
    }

    /// <summary>What was begun in this run: a closed tab loses nothing.</summary>
    private static string Bench(Workbench workbench)
    {
        IReadOnlyList<BlockJob> jobs = workbench.Blocks.All();
        ClassJob[] classes = [.. workbench.Classes.All().Where(c => c.Photos.Count > 0 && c.State != ClassState.Done)];
        return jobs.Count + classes.Length == 0 ? "" : $"""
            <section class="card bench-list" aria-labelledby="bench-title"><h2 id="bench-title">On the bench</h2>
            <ul class="plain">{string.Concat(jobs.Select(j => $"<li><a href=\"/block/{j.Id}\">{Layout.E(j.FileName)}</a> – {Word(j)}</li>"))}{string.Concat(classes.Select(c => $"<li>{ClassPages.Line(c)}</li>"))}</ul>
            {(jobs.Any(j => j.IsLeft) ? "<p class=\"hint\">The workbench ended before it was done with what is marked as not finished. Such photos are kept for a day at most.</p>" : "")}</section>
            """;
    }

    private static string Word(BlockJob job) => job.State switch
    {
        _ when job.IsLeft => "not finished; you can go on with it",
        BlockState.Working => "being worked on",
        BlockState.Measured => job.Outcome!.Report.Outcome == "not-measurable" ? "could not be measured" : "measured",
        BlockState.Corners => "corners to be looked at",
        _ => "stopped or not usable; it can be tried again",
    };
}
