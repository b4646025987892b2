using System.Globalization;
using System.Text.Json;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Web.Blocks;
using Analyzer.Web.Pages;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Routes;

/// <summary>What is asked of one block: how far the work is, its pictures and files, measuring, stopping, removing. And the lines of a grid.</summary>
internal static class BlockRoutes
{
    /// <summary>Largest request that tells corners and choices, bytes.</summary>
    private const int LargestAsk = 8 << 10;

    public static void Map(WebApplication app, Workbench workbench)
    {
        app.MapGet("/api/grid", context => Grid(context, workbench));
        app.MapGet("/api/blocks/{id}", context => PageRoutes.With(context, workbench, job => StateAfter(context, workbench, job)));
        app.MapPost("/api/blocks/{id}/measure", context => PageRoutes.With(context, workbench, job => Start(context, workbench, job, measuring: true)));
        app.MapPost("/api/blocks/{id}/find", context => PageRoutes.With(context, workbench, job => Start(context, workbench, job, measuring: false)));
        app.MapPost("/api/blocks/{id}/snap", context => PageRoutes.With(context, workbench, job => Answers.Checked(context, () => Snap(context, workbench, job))));
        app.MapPost("/api/blocks/{id}/stop", context => PageRoutes.With(context, workbench, job =>
        {
            job.Stop("The work was stopped. It can be started again.");
            return State(context, workbench, job);
        }));
        app.MapPost("/api/blocks/{id}/remove", context => PageRoutes.With(context, workbench, job =>
        {
            workbench.Blocks.Remove(job);
            workbench.Last.Drop(job.Id);
            context.Response.StatusCode = StatusCodes.Status204NoContent;
            return Task.CompletedTask;
        }));
        app.MapGet("/block/{id}/photo.jpg", context => PageRoutes.With(context, workbench, job => Photo(context, job)));
        app.MapGet("/block/{id}/block.jpg", context => PageRoutes.With(context, workbench, job =>
            job.Outcome?.Picture is { } picture ? Answers.Send(context, picture.Encoded, picture.MediaType) : Trouble.NotFound(context)));
        foreach ((string name, _, bool opens) in ResultFiles.Names)
            app.MapGet("/block/{id}/" + name, context => PageRoutes.With(context, workbench, job => FileOf(context, job, name, opens)));
    }

    private static Task Grid(HttpContext context, Workbench workbench)
    {
        try
        {
            IntendedGrid grid = BlockChoice.Parse(context.Request.Query["size"], context.Request.Query["grid"], workbench.Plans).Grid;
            return context.Response.WriteAsJsonAsync(new
            {
                widthMm = grid.Size.WidthMm,
                heightMm = grid.Size.HeightMm,
                crossings = grid.Nodes.Count,
                lines = grid.Lines.Select(l => new { id = l.Id, family = l.Family, from = new[] { l.From.Xmm, l.From.Ymm }, to = new[] { l.To.Xmm, l.To.Ymm } }),
            });
        }
        catch (FormatException trouble)
        {
            return Trouble.Answer(context, StatusCodes.Status400BadRequest, trouble.Message);
        }
    }

    /// <summary>The state as soon as it is another one than the page knows, or after a while all the same: so a page learns of a change at once and seldom asks.</summary>
    private static async Task StateAfter(HttpContext context, Workbench workbench, BlockJob job)
    {
        if (context.Request.Query["known"].ToString() is { Length: > 0 } known)
        {
            long until = Environment.TickCount64 + LongestWaitMs;
            while (Seen(workbench, job) == known && Environment.TickCount64 < until && !workbench.Queue.IsStopping)
                await Task.Delay(LookAgainMs, context.RequestAborted);
        }
        await State(context, workbench, job);
    }

    private const int LongestWaitMs = 2000, LookAgainMs = 20;

    /// <summary>All of the state that a waiting page shows, in one word.</summary>
    private static string Seen(Workbench workbench, BlockJob job) => string.Create(CultureInfo.InvariantCulture, $"{job.State}-{job.Run?.Stage}-{Before(workbench, job.Run)}");

    private static long Before(Workbench workbench, BlockRun? run) => run is null || run.HasBegun ? 0 : workbench.Queue.Before(run);

    private static Task State(HttpContext context, Workbench workbench, BlockJob job)
    {
        BlockRun? run = job.Run;
        return context.Response.WriteAsJsonAsync(new
        {
            // First: should something change meanwhile, the next question is answered at once.
            seen = Seen(workbench, job),
            state = job.State.ToString().ToLowerInvariant(),
            measuring = run?.IsMeasuring ?? false,
            stage = run?.Stage,
            before = Before(workbench, run),
            trouble = job.Trouble,
            outcome = run is null ? job.Outcome?.Report.Outcome : null,
            corners = job.Found?.Points?.Select(p => new[] { p.X, p.Y }),
            confidence = job.Found?.Confidence,
        });
    }

    private sealed record Ask(string? Size, string? Grid, double[][]? Corners, bool Exact);

    private static async Task Start(HttpContext context, Workbench workbench, BlockJob job, bool measuring)
    {
        Ask? ask;
        BlockChoice choice = job.Choice;
        PhotoPoint[]? marked = null;
        try
        {
            if (context.Request.ContentLength is not (>= 0 and <= LargestAsk)) throw new FormatException("The request is not of a kind the workbench knows.");
            ask = await JsonSerializer.DeserializeAsync<Ask>(context.Request.Body, JsonSerializerOptions.Web, context.RequestAborted);
            if (ask?.Size is not null || ask?.Grid is not null) choice = BlockChoice.Parse(ask.Size, ask.Grid, workbench.Plans);
            if (measuring && ask?.Corners is { } corners) marked = MarkedCorners.Check(corners, job.WidthPx, job.HeightPx);
        }
        catch (Exception trouble) when (trouble is FormatException or JsonException)
        {
            await Trouble.Answer(context, StatusCodes.Status400BadRequest, trouble is FormatException ? trouble.Message : "The request is not of a kind the workbench knows.");
            return;
        }
        if (job.Begin(measuring, choice, marked) is not { } run)
        {
            await Trouble.Answer(context, StatusCodes.Status409Conflict, "This photo is being worked on already.");
            return;
        }
        bool exact = ask?.Exact ?? false;
        UnfinishedNote.Write(job, exact, workbench.Options.Clock);
        if (!workbench.Queue.TryAdd(run, () => { if (measuring) BlockWork.Measure(job, run, exact, workbench.Last); else BlockWork.Open(job, run, workbench.Last); }))
        {
            job.Stop();
            await Trouble.Busy(context);
            return;
        }
        context.Response.StatusCode = StatusCodes.Status202Accepted;
        await context.Response.WriteAsJsonAsync(new { id = job.Id });
    }

    /// <summary>Marks drawn to the seam nearby, for looking at before anything is measured.</summary>
    private static async Task Snap(HttpContext context, Workbench workbench, BlockJob job)
    {
        Ask ask = await Answers.Ask<Ask>(context, LargestAsk);
        BlockChoice choice = BlockChoice.Parse(ask.Size, ask.Grid, workbench.Plans);
        PhotoPoint[] marked = MarkedCorners.Check(ask.Corners ?? [], job.WidthPx, job.HeightPx);
        if (!await workbench.Snapping.WaitAsync(TimeSpan.FromSeconds(3), context.RequestAborted))
        {
            await Trouble.Busy(context);
            return;
        }
        try
        {
            SnappedCorners snapped = await Task.Run(() => BlockWork.Snap(job, marked, choice, workbench.Last), context.RequestAborted);
            await context.Response.WriteAsJsonAsync(new { corners = snapped.Points.Select(p => new[] { p.X, p.Y }), seen = snapped.IsSeen, words = snapped.Words });
        }
        finally
        {
            workbench.Snapping.Release();
        }
    }

    private static Task Photo(HttpContext context, BlockJob job) =>
        File.Exists(job.PreviewPath) ? SendFile(context, job.PreviewPath) : Trouble.NotFound(context);

    private static async Task SendFile(HttpContext context, string path)
    {
        context.Response.ContentType = "image/jpeg";
        await context.Response.SendFileAsync(path, context.RequestAborted);
    }

    private static Task FileOf(HttpContext context, BlockJob job, string name, bool opens) =>
        job.Outcome is { } outcome && ResultFiles.Make(name, outcome, context.Request.Query["units"] == "in") is { } bytes
            ? Answers.File(context, name, bytes, opens)
            : Trouble.NotFound(context);
}
