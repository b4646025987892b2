using Analyzer.Web.Practice;

namespace Analyzer.Web.Blocks;

/// <summary>A folder of this run alone, readable by this user alone, gone when the run ends. What a crashed run left is removed at the next start.</summary>
internal sealed class PrivateFolder : IDisposable
{
    private const string Prefix = "stitch-workbench-", LockName = "in-use";

    private readonly FileStream _lock;

    private PrivateFolder(string path)
    {
        Path = path;
        _lock = new FileStream(System.IO.Path.Combine(path, LockName), FileMode.Create, FileAccess.Write, FileShare.None);
    }

    public string Path { get; }

    /// <summary>Photos that a run left when it ended unexpectedly before they were measured: now in this folder, each with its note.</summary>
    public IReadOnlyList<(string PhotoPath, UnfinishedNote Note)> Left { get; private set; } = [];

    /// <summary>Classes that such a run left: photos, kept results and note are now in this folder.</summary>
    public IReadOnlyList<(string NotePath, ClassNote Note)> LeftClasses { get; private set; } = [];

    public static PrivateFolder Make(string root, DateTimeOffset now)
    {
        string path = System.IO.Path.Combine(root, Prefix + Guid.NewGuid().ToString("N"));
        // 0700: a folder that exists already would keep its own rights, hence the name that nobody can guess.
        if (OperatingSystem.IsWindows()) Directory.CreateDirectory(path);
        else Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        var folder = new PrivateFolder(path);
        folder.ClearLeftovers(root, now);
        return folder;
    }

    /// <summary>A new name inside the folder; nothing that came from outside is part of it.</summary>
    public string NewFile(string extension) => System.IO.Path.Combine(Path, Guid.NewGuid().ToString("N") + extension);

    public void Dispose()
    {
        _lock.Dispose();
        Remove(Path);
    }

    private void ClearLeftovers(string root, DateTimeOffset now)
    {
        foreach (string folder in Directory.GetDirectories(root, Prefix + "*"))
        {
            if (folder == Path) continue;
            try
            {
                string mark = System.IO.Path.Combine(folder, LockName);
                // A run that still lives holds its mark; a mark not yet made belongs to one that is just starting.
                if (!File.Exists(mark) && DateTime.UtcNow - Directory.GetCreationTimeUtc(folder) < TimeSpan.FromMinutes(1)) continue;
                using FileStream? held = File.Exists(mark) ? new FileStream(mark, FileMode.Open, FileAccess.Write, FileShare.None) : null;
                if (IsOwnAlone(folder))
                {
                    Left = [.. Left, .. TakeUnfinished(folder, now)];
                    LeftClasses = [.. LeftClasses, .. TakeClasses(folder, now)];
                }
                held?.Dispose();
                Remove(folder);
            }
            catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
            {
                // In use, or another user's.
            }
        }
    }

    /// <summary>Whether no one else could have put anything into the folder.</summary>
    private static bool IsOwnAlone(string folder) =>
        OperatingSystem.IsWindows() || File.GetUnixFileMode(folder) == (UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);

    /// <summary>Moves unfinished photos here, and no links.</summary>
    private List<(string, UnfinishedNote)> TakeUnfinished(string folder, DateTimeOffset now)
    {
        var taken = new List<(string, UnfinishedNote)>();
        foreach (string note in Directory.GetFiles(folder, "*" + UnfinishedNote.Extension))
        {
            string photo = note[..^UnfinishedNote.Extension.Length] + ".upload", here = NewFile(".upload");
            if (UnfinishedNote.Read(note, now) is not { } read || !File.Exists(photo) || new FileInfo(photo).LinkTarget is not null) continue;
            File.Move(photo, here);
            File.Move(note, System.IO.Path.ChangeExtension(here, UnfinishedNote.Extension));
            taken.Add((here, read));
        }
        return taken;
    }

    /// <summary>Moves unfinished classes here: their photos, what was measured of them, and last the note.</summary>
    private List<(string, ClassNote)> TakeClasses(string folder, DateTimeOffset now)
    {
        var taken = new List<(string, ClassNote)>();
        foreach (string note in Directory.GetFiles(folder, "*" + ClassNote.Extension))
        {
            if (ClassNote.Read(note, now) is not { } read) continue;
            foreach (ClassNote.Entry photo in read.Photos)
            {
                var file = new FileInfo(System.IO.Path.Combine(folder, photo.File));
                if (file.Exists && file.LinkTarget is null) file.MoveTo(System.IO.Path.Combine(Path, photo.File));
            }
            string here = NewFile(ClassNote.Extension);
            var kept = new DirectoryInfo(note[..^ClassNote.Extension.Length] + ClassNote.KeptExtension);
            if (kept.Exists && kept.LinkTarget is null) kept.MoveTo(here[..^ClassNote.Extension.Length] + ClassNote.KeptExtension);
            File.Move(note, here);
            taken.Add((here, read));
        }
        return taken;
    }

    private static void Remove(string folder)
    {
        try
        {
            Directory.Delete(folder, recursive: true);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            // The next start tries again.
        }
    }
}
