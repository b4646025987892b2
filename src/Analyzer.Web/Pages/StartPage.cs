using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>Where everything begins: the sample block, or one's own photo with size and pattern.</summary>
internal static class StartPage
{
    public static string Write(Workbench workbench)
    {
        string sample = workbench.SamplePhoto is null ? "" : """
            <section class="card sample" aria-labelledby="sample-title">
            <div><h2 id="sample-title">First time here?</h2>
            <p>See a whole result on a block that is ready: eight inches, triangles one inch apart.</p></div>
            <button type="button" id="open-sample" class="button quiet">Open the sample block</button>
            </section>
            """;
        return Layout.Page("Photo", 0, workbench.Token.Text, "start.js", $"""
            <h1>How straight did you stitch?</h1>
            <p class="lead">Photograph a finished practice block. You will see each line you stitched beside the line you meant to stitch, and how far they lie apart.</p>
            {sample}
            <form id="photo-form" class="two" novalidate>
            <div class="card">
            {ChoiceForm.Write(workbench.Options.SampleSize, workbench.Options.SampleGrid)}
            <figure class="grid-preview"><svg id="grid-preview" role="img" aria-label="The pattern on your block"></svg><figcaption id="grid-words" class="hint"></figcaption></figure>
            </div>
            <div class="card">
            <h2>Your photo</h2>
            <div id="drop" class="drop">
            <p class="big">Drop the photo here</p>
            <p><label class="button quiet" for="file">Choose a photo</label><input id="file" class="file" type="file" accept="image/*,.heic,.heif,.tif,.tiff"></p>
            <p class="hint">or copy it elsewhere and paste it here (Ctrl V). JPEG, PNG, WebP, TIFF or HEIC, up to {workbench.Options.LargestPhoto >> 20} MB.</p>
            <img id="thumb" alt="The chosen photo" hidden>
            <p id="chosen" class="chosen" aria-live="polite"></p>
            </div>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            <div id="sending" hidden><label for="sent">Handing over the photo</label> <progress id="sent" max="1" value="0"></progress> <button type="button" id="stop-sending" class="button quiet small">Stop</button></div>
            <p><button type="submit" class="button" id="go">Find the block</button></p>
            <h3>A photo that measures well</h3>
            <ul class="plain"><li>Stand square above the block and fill the picture with it, a hand's breadth of table around.</li>
            <li>Light from the side, no flash, no shadow of yours across it.</li>
            <li>Let the block lie flat and unstretched, and hold still.</li></ul>
            <p class="hint">Before you lay it out: machine off, needle, pins and rotary cutter out of the way.</p>
            </div>
            </form>
            """);
    }
}
