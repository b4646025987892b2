using Analyzer.Web.Blocks;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Routes;

/// <summary>Photos come in: one's own as the body of the request, or the sample.</summary>
internal static class UploadRoutes
{
    public static void Map(WebApplication app, Workbench workbench)
    {
        app.MapPost("/api/blocks", context => Upload(context, workbench));
        app.MapPost("/api/sample", context => Sample(context, workbench));
    }

    /// <summary>POST /api/blocks?name=block.jpg&amp;size=8in&amp;grid=triangle:1in with the file as body. What kind of file it is, only its content tells.</summary>
    private static async Task Upload(HttpContext context, Workbench workbench)
    {
        BlockChoice choice;
        try
        {
            choice = BlockChoice.Parse(context.Request.Query["size"], context.Request.Query["grid"]);
        }
        catch (FormatException trouble)
        {
            await Trouble.Answer(context, StatusCodes.Status400BadRequest, trouble.Message);
            return;
        }
        long most = workbench.Options.LargestPhoto;
        if (context.Request.ContentLength > most)
        {
            // A browser that is still sending does not see an answer: take the rest and throw it away.
            await context.Request.Body.CopyToAsync(Stream.Null, context.RequestAborted);
            await TooLarge(context, most);
            return;
        }
        if (!workbench.Queue.HasRoom || !await workbench.Uploads.WaitAsync(0))
        {
            await Trouble.Busy(context);
            return;
        }
        string path = workbench.Folder.NewFile(".upload");
        bool keep = false;
        try
        {
            long size = await Save(context, path, most);
            if (size > most) await TooLarge(context, most);
            else if (size == 0) await Trouble.Answer(context, StatusCodes.Status400BadRequest, "The photo is empty; choose it again.");
            else keep = await Begin(context, workbench, new BlockJob(DisplayName.Of(context.Request.Query["name"]), path, choice), straightOn: false);
        }
        finally
        {
            workbench.Uploads.Release();
            if (!keep) File.Delete(path);
        }
    }

    private static async Task Sample(HttpContext context, Workbench workbench)
    {
        if (workbench.SamplePhoto is not { } sample)
        {
            await Trouble.Answer(context, StatusCodes.Status404NotFound, "The sample block is not part of this copy of the program; take a photo of your own.");
            return;
        }
        if (!workbench.Queue.HasRoom)
        {
            await Trouble.Busy(context);
            return;
        }
        string path = workbench.Folder.NewFile(".upload");
        File.Copy(sample, path);
        var job = new BlockJob(Path.GetFileName(sample), path, BlockChoice.Parse(workbench.Options.SampleSize, workbench.Options.SampleGrid));
        if (!await Begin(context, workbench, job, straightOn: true)) File.Delete(path);
    }

    /// <summary>Puts the block on the bench and its first work into the queue. The sample goes straight on to its result.</summary>
    private static async Task<bool> Begin(HttpContext context, Workbench workbench, BlockJob job, bool straightOn)
    {
        BlockRun run = job.Begin(straightOn, job.Choice, null)!;
        if (!workbench.Blocks.TryAdd(job))
        {
            await Trouble.Busy(context);
            return false;
        }
        if (!workbench.Queue.TryAdd(run, () => { if (straightOn) BlockWork.Measure(job, run, exact: false); else BlockWork.Open(job, run); }))
        {
            workbench.Blocks.Remove(job);
            await Trouble.Busy(context);
            return false;
        }
        context.Response.StatusCode = StatusCodes.Status202Accepted;
        await context.Response.WriteAsJsonAsync(new { id = job.Id });
        return true;
    }

    private static async Task<long> Save(HttpContext context, string path, long most)
    {
        long size = 0;
        var buffer = new byte[1 << 16];
        await using var file = new FileStream(path, FileMode.CreateNew, FileAccess.Write, FileShare.None, 1, useAsync: true);
        int read;
        while ((read = await context.Request.Body.ReadAsync(buffer, context.RequestAborted)) > 0)
        {
            size += read;
            if (size > most) continue;
            await file.WriteAsync(buffer.AsMemory(0, read), context.RequestAborted);
        }
        return size;
    }

    private static Task TooLarge(HttpContext context, long most) =>
        Trouble.Answer(context, StatusCodes.Status413PayloadTooLarge, $"The photo is too large: at most {most >> 20} MB are taken; save it as JPEG.");
}
