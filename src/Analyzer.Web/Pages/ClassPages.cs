using System.Globalization;
using Analyzer.Practice.Classroom;
using Analyzer.Practice.Pages;
using Analyzer.Web.Blocks;
using Analyzer.Web.Practice;

namespace Analyzer.Web.Pages;

/// <summary>A whole class at once: choosing photos, waiting, the page for the teacher, a sheet for each person.</summary>
internal static class ClassPages
{
    public static string Choose(Workbench workbench)
    {
        string earlier = string.Concat(workbench.Classes.All().Where(c => c.Photos.Count > 0).Select(c => $"<li>{Line(c)}</li>"));
        return Layout.Area("Class", "Class", workbench.Token.Text, "class.js", $"""
            <h1>A whole class at once</h1>
            <p class="lead">Choose everyone's photos. You get a page for yourself and a sheet to print for each person; nobody is ranked.</p>
            {(earlier.Length > 0 ? $"<section class=\"note\"><h2>On the bench</h2><ul class=\"plain\">{earlier}</ul></section>" : "")}
            <form id="class-form" class="two" novalidate data-most="{workbench.Options.MostClassPhotos}">
            <div class="card">
            {ChoiceForm.Write(workbench.Options.SampleSize, workbench.Options.SampleGrid, legend: "What everybody sewed")}
            <figure class="grid-preview"><svg id="grid-preview" role="img" aria-label="The pattern on the block"></svg><figcaption id="grid-words" class="hint"></figcaption></figure>
            </div>
            <div class="card">
            <h2>Photos</h2>
            <div id="drop" class="drop"><p class="big">Drop the photos here</p>
            <p class="stack centre"><label class="button quiet" for="files">Choose photos</label><input id="files" class="file" type="file" accept="image/*,.heic,.heif,.tif,.tiff,.json" multiple> <label class="button quiet" for="folder">Choose a folder</label><input id="folder" class="file" type="file" webkitdirectory multiple></p>
            <p class="hint">Who sewed it is read from the folder's name, or from the file's name up to the first - or _ (ann-1.jpg). You can change it below. An earlier report.json is taken too.</p></div>
            <div id="photo-list-box" class="scroll short" tabindex="0" role="region" aria-label="Chosen photos" hidden><table><thead><tr><th scope="col">Person</th><th scope="col">Photo</th><th scope="col"><span class="visually-hidden">Remove</span></th></tr></thead><tbody id="photo-list"></tbody></table></div>
            <p id="photo-count" aria-live="polite" class="hint">No photos chosen yet.</p>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            <div id="sending" hidden><label for="sent">Handing over the photos</label> <progress id="sent" max="1" value="0"></progress> <button type="button" id="stop-sending" class="button quiet small">Stop</button></div>
            <p><button type="submit" class="button" id="go">Measure the class</button></p>
            <p class="hint">Ask everyone before you photograph their work. A photo that cannot be measured is named with the reason; the others go on.</p>
            </div>
            </form>
            """);
    }

    /// <summary>A class in one line, with the way to it.</summary>
    public static string Line(ClassJob job) => $"<a href=\"/class/{job.Id}\">Class: {Photos(job)} of {When(job)}</a> – {Word(job)}";

    private static string Photos(ClassJob job) => job.Photos.Count == 1 ? "1 photo" : string.Create(CultureInfo.InvariantCulture, $"{job.Photos.Count} photos");

    private static string When(ClassJob job)
    {
        DateTimeOffset made = job.Made.ToLocalTime();
        return made.ToString(made.Date == DateTime.Today ? "HH:mm" : "d MMMM, HH:mm", CultureInfo.InvariantCulture);
    }

    private static string Word(ClassJob job) => job.State switch
    {
        ClassState.Working => "being measured",
        ClassState.Done => "measured",
        ClassState.Stopped => "stopped; it can go on",
        _ => "not started",
    };

    public static string Waiting(Workbench workbench, ClassJob job)
    {
        bool working = job.State == ClassState.Working;
        string body = working ? $"""
            <h1>Measuring the class</h1>
            <p id="now" aria-live="polite">Waiting for its turn.</p>
            <p><progress id="class-progress" max="{job.Photos.Count}" value="0" aria-label="Photos measured"></progress></p>
            <p><button type="button" class="button quiet" id="stop">Stop</button></p>
            <p class="hint">You may close this page and come back through Class; the work goes on.</p>
            """ : $"""
            <h1>The class is not measured yet</h1>
            <p class="note caution">{Layout.E(job.Trouble ?? "Its photos are here, but measuring was not started.")} What was measured already is kept.</p>
            <p>{Photos(job)} of {When(job)}.</p>
            <p class="stack"><button type="button" class="button" id="go-on">Go on</button> <button type="button" class="button quiet" id="remove">Remove these photos</button> <a class="button quiet" href="/class">Choose other photos</a></p>
            """;
        return Layout.Area("Class", "Class", workbench.Token.Text, "class.js", $"""
            <div id="class-job" data-id="{job.Id}" data-working="{(working ? "1" : "0")}">{body}</div>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            """);
    }

    public static string Result(Workbench workbench, ClassJob job) => Layout.Area("The class", "Class", workbench.Token.Text, "class.js", $"""
        <div id="class-job" data-id="{job.Id}" data-working="0">
        <p class="stack noprint"><a class="button quiet small" href="/class/{job.Id}/class.zip" download>Save page, sheets and table (zip)</a> <a class="button quiet small" href="/class/{job.Id}/class.csv" download>Save the table (CSV)</a> <button type="button" class="button quiet small" id="print">Print</button> <button type="button" class="button quiet small" id="remove">Remove these photos</button></p>
        <div class="paper">{ClassPage.Body(job.Summary!, p => ClassFiles.SheetPath(job, p))}</div></div>
        <p id="trouble" class="trouble" role="alert" hidden></p>
        """);

    public static string Sheet(Workbench workbench, ClassJob job, ClassPerson person) => Layout.Area(person.Name, "Class", workbench.Token.Text, "class.js", $"""
        <p class="stack noprint"><a class="button quiet small" href="/class/{job.Id}">The class</a> <button type="button" class="button quiet small" id="print">Print</button></p>
        <div class="paper">{ClassPage.SheetBody(person)}</div>
        """);
}
