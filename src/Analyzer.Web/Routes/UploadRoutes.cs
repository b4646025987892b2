using Analyzer.Web.Blocks;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Routes;

/// <summary>Photos come in: one's own as the body of the request, or the sample.</summary>
internal static class UploadRoutes
{
    public static void Map(WebApplication app, Workbench workbench)
    {
        // POST /api/blocks?name=block.jpg&size=8in&grid=triangle:1in with the file as body.
        app.MapPost("/api/blocks", context => Answers.Checked(context, async () =>
        {
            BlockChoice choice = BlockChoice.Parse(context.Request.Query["size"], context.Request.Query["grid"], workbench.Plans);
            await Tell(context, await Intake.Photo(context, workbench, context.Request.Query["name"].ToString(), choice));
        }));
        app.MapPost("/api/sample", context => Tell(context, Intake.Sample(workbench)));
    }

    public static Task Tell(HttpContext context, TakenIn taken)
    {
        if (taken.Job is { } job)
        {
            context.Response.StatusCode = taken.Status;
            return context.Response.WriteAsJsonAsync(new { id = job.Id });
        }
        return taken.Status == StatusCodes.Status503ServiceUnavailable ? Trouble.Busy(context) : Trouble.Answer(context, taken.Status, taken.Sentence);
    }
}
