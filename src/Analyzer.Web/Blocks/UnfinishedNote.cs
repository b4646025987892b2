using System.Text.Json;

namespace Analyzer.Web.Blocks;

/// <summary>What lies beside a photo until it is measured, so that a run that ended unexpectedly can be gone on with.</summary>
/// <param name="Plan">plan.json where a plan was chosen, with the name it was shown under.</param>
/// <param name="Corners">Corners set by hand for the measurement under way, px; null where none were.</param>
internal sealed record UnfinishedNote(string FileName, string Size, string Grid, string? Plan, string? PlanName, int WidthPx, int HeightPx, double[][]? Corners, bool Exact, DateTimeOffset Since)
{
    public const string Extension = ".job.json";

    private const int LargestBytes = 8 << 20;

    /// <summary>How long an unfinished photo is kept.</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromDays(1);

    public static void Write(BlockJob job, bool exact, TimeProvider clock)
    {
        var note = new UnfinishedNote(job.FileName, job.Choice.SizeText, job.Choice.GridText, job.Choice.Plan?.Json, job.Choice.Plan?.Name, job.WidthPx, job.HeightPx,
            job.Marked?.Select(p => new[] { p.X, p.Y }).ToArray(), exact, job.Since ?? clock.GetUtcNow());
        try
        {
            string aside = job.NotePath + ".part";
            File.WriteAllText(aside, JsonSerializer.Serialize(note));
            File.Move(aside, job.NotePath, overwrite: true);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            // The measurement goes on; it could only not be taken up again after a crash.
        }
    }

    /// <summary>Null where the note is not one, or is too old.</summary>
    public static UnfinishedNote? Read(string path, DateTimeOffset now)
    {
        try
        {
            var file = new FileInfo(path);
            if (file.LinkTarget is not null || file.Length > LargestBytes) return null;
            return JsonSerializer.Deserialize<UnfinishedNote>(File.ReadAllText(path)) is { FileName: not null, Size: not null, Grid: not null } note
                && now - note.Since < Longest && note.Since <= now ? note : null;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or JsonException)
        {
            return null;
        }
    }

    /// <summary>The photo with this note as a block on the bench, or null when its size and pattern make no sense.</summary>
    public BlockJob? ToJob(string photoPath, Plans.PlanShelf plans)
    {
        try
        {
            string grid = Plan is null ? Grid : "plan:" + plans.Keep(Plan, PlanName).Id;
            var job = new BlockJob(DisplayName.Of(FileName), photoPath, BlockChoice.Parse(Size, grid, plans));
            job.TakeUp(WidthPx, HeightPx, Corners is null ? null : MarkedCorners.Check(Corners, WidthPx, HeightPx), Exact, Since);
            return job;
        }
        catch (FormatException)
        {
            return null;
        }
    }
}
