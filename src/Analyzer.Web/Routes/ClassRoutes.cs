using System.Globalization;
using System.Text;
using Analyzer.Practice.Classroom;
using Analyzer.Practice.Log;
using Analyzer.Web.Blocks;
using Analyzer.Web.Pages;
using Analyzer.Web.Practice;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Routes;

/// <summary>A class: its photos come in one by one, are measured in the queue, and end as a page, sheets and a table.</summary>
internal static class ClassRoutes
{
    private const long MostBytes = 2L << 30;

    public static void Map(WebApplication app, Workbench workbench)
    {
        app.MapGet("/class", context => Answers.Html(context, ClassPages.Choose(workbench)));
        app.MapPost("/api/class", context => Answers.Checked(context, () =>
        {
            var job = new ClassJob(BlockChoice.Parse(context.Request.Query["size"], context.Request.Query["grid"], workbench.Plans), workbench.Folder.NewFile(ClassNote.KeptExtension), workbench.Options.Clock.GetUtcNow());
            return workbench.Classes.TryAdd(job) ? context.Response.WriteAsJsonAsync(new { id = job.Id }) : Trouble.Busy(context);
        }));
        app.MapPost("/api/class/{id}/photos", context => With(context, workbench, job => Answers.Checked(context, () => Photo(context, workbench, job))));
        app.MapPost("/api/class/{id}/start", context => With(context, workbench, job => Start(context, workbench, job)));
        app.MapGet("/api/class/{id}", context => With(context, workbench, job => State(context, workbench, job)));
        app.MapPost("/api/class/{id}/stop", context => With(context, workbench, job =>
        {
            job.Stop("The class was stopped.");
            return State(context, workbench, job);
        }));
        app.MapPost("/api/class/{id}/remove", context => With(context, workbench, job =>
        {
            workbench.Classes.Remove(job);
            context.Response.StatusCode = StatusCodes.Status204NoContent;
            return Task.CompletedTask;
        }));
        app.MapGet("/class/{id}", context => With(context, workbench, job => Answers.Html(context, job.State == ClassState.Done ? ClassPages.Result(workbench, job) : ClassPages.Waiting(workbench, job))));
        app.MapGet("/class/{id}/sheet/{number:int}", context => With(context, workbench, job =>
        {
            int number = int.Parse((string)context.GetRouteValue("number")!, CultureInfo.InvariantCulture);
            return job.Summary is { } summary && number >= 1 && number <= summary.People.Count
                ? Answers.Html(context, ClassPages.Sheet(workbench, job, summary.People[number - 1])) : Trouble.NotFound(context);
        }));
        app.MapGet("/class/{id}/class.csv", context => With(context, workbench, job =>
            job.Summary is { } summary ? Answers.File(context, "class.csv", Encoding.UTF8.GetBytes(summary.Csv())) : Trouble.NotFound(context)));
        app.MapGet("/class/{id}/class.zip", context => With(context, workbench, job =>
            job.Summary is { } summary ? Answers.File(context, "class.zip", ClassFiles.Zip(workbench, summary)) : Trouble.NotFound(context)));
    }

    private static Task With(HttpContext context, Workbench workbench, Func<ClassJob, Task> then) =>
        workbench.Classes.Find(context.GetRouteValue("id") as string) is { } job ? then(job) : Trouble.NotFound(context);

    /// <summary>One photo as body. Without a person the name tells who sewed it: its folder, or what stands before the first "-" or "_".</summary>
    private static async Task Photo(HttpContext context, Workbench workbench, ClassJob job)
    {
        string given = context.Request.Query["name"].ToString(), name = DisplayName.Of(given);
        string person = context.Request.Query["person"].ToString().Trim() is { Length: > 0 } told ? told : ClassFolder.PersonOf(name);
        try
        {
            Nickname.Check(person);
        }
        catch (PracticeLogException trouble)
        {
            throw new FormatException(trouble.Message, trouble);
        }
        if (!await workbench.Uploads.WaitAsync(0))
        {
            await Trouble.Busy(context);
            return;
        }
        string path = workbench.Folder.NewFile(".upload");
        bool keep = false;
        try
        {
            long most = Math.Min(workbench.Options.LargestPhoto, MostBytes - job.Photos.Sum(p => new FileInfo(p.Path) is { Exists: true } f ? f.Length : 0));
            long size = await Intake.Save(context, path, most);
            if (size > most) await UploadRoutes.Tell(context, Intake.TooLarge(workbench.Options.LargestPhoto));
            else if (size == 0) throw new FormatException($"{name} is empty; choose it again.");
            else if (!job.TryAdd(new ClassPhoto(person, name, path), workbench.Options.MostClassPhotos))
                throw new FormatException($"A class has up to {workbench.Options.MostClassPhotos} photos here, and none is added once measuring has begun; the class command takes more.");
            else
            {
                keep = true;
                await context.Response.WriteAsJsonAsync(new { photos = job.Photos.Count });
            }
        }
        finally
        {
            workbench.Uploads.Release();
            if (!keep) File.Delete(path);
        }
    }

    private static async Task Start(HttpContext context, Workbench workbench, ClassJob job)
    {
        if (job.Begin() is not { } run)
        {
            await Trouble.Answer(context, StatusCodes.Status409Conflict, "There is nothing to begin: the class has no photos yet, or is being measured already.");
            return;
        }
        if (!workbench.Queue.TryAdd(run, () => job.Measure(run)))
        {
            job.Stop("The workbench was busy.");
            await Trouble.Busy(context);
            return;
        }
        context.Response.StatusCode = StatusCodes.Status202Accepted;
        await context.Response.WriteAsJsonAsync(new { id = job.Id });
    }

    private static Task State(HttpContext context, Workbench workbench, ClassJob job) => context.Response.WriteAsJsonAsync(new
    {
        state = job.State.ToString().ToLowerInvariant(),
        done = job.Done,
        all = job.Photos.Count,
        before = job.Run is { HasBegun: false } run ? workbench.Queue.Before(run) : 0,
        trouble = job.Trouble,
    });
}
