using System.Text.Json;
using System.Text.RegularExpressions;
using Analyzer.Web.Blocks;
using Analyzer.Web.Plans;

namespace Analyzer.Web.Practice;

/// <summary>What lies beside the photos of a class until it is measured, so that a run that ended unexpectedly can be gone on with.</summary>
/// <param name="Plan">plan.json where a plan was chosen, with the name it was shown under.</param>
internal sealed partial record ClassNote(string Size, string Grid, string? Plan, string? PlanName, IReadOnlyList<ClassNote.Entry> Photos, DateTimeOffset Since)
{
    public const string Extension = ".class.json", KeptExtension = ".kept";

    private const int LargestBytes = 8 << 20;

    /// <param name="File">The photo's name inside the private folder.</param>
    internal sealed record Entry(string Person, string FileName, string File);

    public static void Write(ClassJob job)
    {
        BlockChoice choice = job.Choice;
        var note = new ClassNote(choice.SizeText, choice.GridText, choice.Plan?.Json, choice.Plan?.Name,
            [.. job.Photos.Select(p => new Entry(p.Person, p.FileName, Path.GetFileName(p.Path)))], job.Made);
        try
        {
            string aside = job.NotePath + ".part";
            File.WriteAllText(aside, JsonSerializer.Serialize(note));
            File.Move(aside, job.NotePath, overwrite: true);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            // The class goes on; it could only not be taken up again after a crash.
        }
    }

    /// <summary>Null where the note is not one, names anything but photos of the private folder, or is too old.</summary>
    public static ClassNote? Read(string path, DateTimeOffset now)
    {
        try
        {
            var file = new FileInfo(path);
            if (file.LinkTarget is not null || file.Length > LargestBytes || JsonSerializer.Deserialize<ClassNote>(File.ReadAllText(path)) is not { Size: not null, Grid: not null, Photos.Count: > 0 } note) return null;
            bool sound = note.Photos.All(p => p is { Person: not null, FileName: not null, File: not null } && OwnName().IsMatch(p.File));
            return sound && now - note.Since < UnfinishedNote.Longest && note.Since <= now ? note : null;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or JsonException)
        {
            return null;
        }
    }

    /// <summary>The class again, stopped where it was, or null when its size and pattern make no sense.</summary>
    /// <param name="notePath">Where the note lies; the photos lie beside it.</param>
    public ClassJob? ToJob(string notePath, PlanShelf plans)
    {
        try
        {
            string grid = Plan is null ? Grid : "plan:" + plans.Keep(Plan, PlanName).Id, folder = Path.GetDirectoryName(notePath)!;
            var job = new ClassJob(BlockChoice.Parse(Size, grid, plans), notePath[..^Extension.Length] + KeptExtension, Since);
            job.TakeUp([.. Photos.Select(p => new ClassPhoto(p.Person, DisplayName.Of(p.FileName), Path.Combine(folder, p.File))).Where(p => File.Exists(p.Path))]);
            return job.Photos.Count > 0 ? job : null;
        }
        catch (FormatException)
        {
            return null;
        }
    }

    [GeneratedRegex("^[0-9a-f]{32}\\.upload$")]
    private static partial Regex OwnName();
}
