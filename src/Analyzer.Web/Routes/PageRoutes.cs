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
        app.MapGet("/", context => Html(context, StartPage.Write(workbench)));
        app.MapGet("/block/{id}", context => With(context, workbench, job => job.State switch
        {
            BlockState.Corners => Go(context, $"/block/{job.Id}/corners"),
            BlockState.Measured => Go(context, $"/block/{job.Id}/result"),
            _ => Html(context, WaitingPage.Write(job, token)),
        }));
        app.MapGet("/block/{id}/corners", context => With(context, workbench, job =>
            job.IsBusy || job.Found is null ? Go(context, $"/block/{job.Id}") : Html(context, CornersPage.Write(job, token))));
        app.MapGet("/block/{id}/result", context => With(context, workbench, job =>
            job.IsBusy || job.Outcome is null ? Go(context, $"/block/{job.Id}") : Html(context, ResultPage.Write(job, token, job.Choice.SizeText.Contains("in", StringComparison.Ordinal)))));
    }

    /// <summary>The block that the address names, or the page that says it is not there.</summary>
    public static Task With(HttpContext context, Workbench workbench, Func<BlockJob, Task> then) =>
        workbench.Blocks.Find(context.GetRouteValue("id") as string) is { } job ? then(job) : Trouble.NotFound(context);

    private static Task Html(HttpContext context, string page)
    {
        context.Response.ContentType = "text/html; charset=utf-8";
        return context.Response.WriteAsync(page);
    }

    private static Task Go(HttpContext context, string path)
    {
        context.Response.Redirect(path);
        return Task.CompletedTask;
    }
}
