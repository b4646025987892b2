using Analyzer.Web.Blocks;
using Analyzer.Web.Pages;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Routes;

/// <summary>The pages, in the order of the work.</summary>
internal static class PageRoutes
{
    public static void Map(WebApplication app, Workbench workbench)
    {
        string token = workbench.Token.Text;
        app.MapGet("/", context => Answers.Html(context, StartPage.Write(workbench, context.Request.Query["plan"])));
        app.MapGet("/block/{id}", context => With(context, workbench, job => job.State switch
        {
            BlockState.Corners => Answers.Go(context, $"/block/{job.Id}/corners"),
            BlockState.Measured => Answers.Go(context, $"/block/{job.Id}/result"),
            _ => Answers.Html(context, WaitingPage.Write(job, token)),
        }));
        app.MapGet("/block/{id}/corners", context => With(context, workbench, job =>
            job.IsBusy || job.Found is null ? Answers.Go(context, $"/block/{job.Id}") : Answers.Html(context, CornersPage.Write(job, token))));
        app.MapGet("/block/{id}/result", context => With(context, workbench, job =>
            job.IsBusy || job.Outcome is null ? Answers.Go(context, $"/block/{job.Id}") : Answers.Html(context, ResultPage.Write(job, token, job.Choice.Inches, People(workbench)))));
    }

    /// <summary>Whom the log knows, for the form under a result; nobody where the log cannot be read.</summary>
    private static IReadOnlyList<string> People(Workbench workbench)
    {
        try
        {
            return workbench.Log.Read(log => log.People()) ?? [];
        }
        catch (Analyzer.Practice.Log.PracticeLogException)
        {
            return [];
        }
    }

    /// <summary>The block that the address names, or the page that says it is not there.</summary>
    public static Task With(HttpContext context, Workbench workbench, Func<BlockJob, Task> then) =>
        workbench.Blocks.Find(context.GetRouteValue("id") as string) is { } job ? then(job) : Trouble.NotFound(context);
}
