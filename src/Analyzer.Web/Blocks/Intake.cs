namespace Analyzer.Web.Blocks;

/// <summary>What became of a photo that came in: a block on the bench, or a refusal with its status and sentence.</summary>
internal sealed record TakenIn(BlockJob? Job, int Status, string Sentence)
{
    public static TakenIn Busy { get; } = new(null, StatusCodes.Status503ServiceUnavailable, "The workbench is busy with other photos; wait a few seconds and try again.");

    public static TakenIn Refused(int status, string sentence) => new(null, status, sentence);
}

/// <summary>Takes photos in: bounded in size and number, written under a name of our own, one by one into the queue of work.</summary>
internal static class Intake
{
    /// <summary>The body of a request as a photo. What kind of file it is, only its content tells, and only when it is read.</summary>
    public static async Task<TakenIn> Photo(HttpContext context, Workbench workbench, string name, BlockChoice choice)
    {
        long most = workbench.Options.LargestPhoto;
        if (context.Request.ContentLength > most)
        {
            // A browser that is still sending does not see an answer: take the rest and throw it away.
            await context.Request.Body.CopyToAsync(Stream.Null, context.RequestAborted);
            return TooLarge(most);
        }
        if (!workbench.Queue.HasRoom || !await workbench.Uploads.WaitAsync(0)) return TakenIn.Busy;
        string path = workbench.Folder.NewFile(".upload");
        TakenIn? taken = null;
        try
        {
            long size = await Save(context, path, most);
            return taken = size > most ? TooLarge(most)
                : size == 0 ? TakenIn.Refused(StatusCodes.Status400BadRequest, "The photo is empty; choose it again.")
                : Begin(workbench, new BlockJob(DisplayName.Of(name), path, choice), straightOn: false);
        }
        finally
        {
            workbench.Uploads.Release();
            if (taken?.Job is null) File.Delete(path);
        }
    }

    /// <summary>The sample block; it goes straight on to its result.</summary>
    public static TakenIn Sample(Workbench workbench)
    {
        if (workbench.SamplePhoto is not { } sample)
            return TakenIn.Refused(StatusCodes.Status404NotFound, "The sample block is not part of this copy of the program; take a photo of your own.");
        if (!workbench.Queue.HasRoom) return TakenIn.Busy;
        string path = workbench.Folder.NewFile(".upload");
        File.Copy(sample, path);
        TakenIn taken = Begin(workbench, new BlockJob(Path.GetFileName(sample), path, BlockChoice.Parse(workbench.Options.SampleSize, workbench.Options.SampleGrid)), straightOn: true);
        if (taken.Job is null) File.Delete(path);
        return taken;
    }

    /// <summary>Writes the body into the file; returns its size, which may be larger than what was written when it is larger than allowed.</summary>
    public static async Task<long> Save(HttpContext context, string path, long most)
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

    public static TakenIn TooLarge(long most) =>
        TakenIn.Refused(StatusCodes.Status413PayloadTooLarge, $"The photo is too large: at most {most >> 20} MB are taken; save it as JPEG.");

    private static TakenIn Begin(Workbench workbench, BlockJob job, bool straightOn)
    {
        BlockRun run = job.Begin(straightOn, job.Choice, null)!;
        if (!workbench.Blocks.TryAdd(job)) return TakenIn.Busy;
        if (!workbench.Queue.TryAdd(run, () => { if (straightOn) BlockWork.Measure(job, run, exact: false, workbench.Last); else BlockWork.Open(job, run, workbench.Last); }))
        {
            workbench.Blocks.Remove(job);
            return TakenIn.Busy;
        }
        if (!straightOn) UnfinishedNote.Write(job, exact: false, workbench.Options.Clock);
        return new TakenIn(job, StatusCodes.Status202Accepted, "");
    }
}
