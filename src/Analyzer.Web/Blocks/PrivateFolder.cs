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

    public static PrivateFolder Make(string root, DateTimeOffset now)
    {
        string path = System.IO.Path.Combine(root, Prefix + Guid.NewGuid().ToString("N"));
        // 0700: a folder that exists already would keep its own rights, hence the name that nobody can guess.
        if (OperatingSystem.IsWindows()) Directory.CreateDirectory(path);
        else Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        var folder = new PrivateFolder(path);
        folder.Left = [.. folder.ClearLeftovers(root, now)];
        return folder;
    }

    /// <summary>A new name inside the folder; nothing that came from outside is part of it.</summary>
    public string NewFile(string extension) => System.IO.Path.Combine(Path, Guid.NewGuid().ToString("N") + extension);

    public void Dispose()
    {
        _lock.Dispose();
        Remove(Path);
    }

    private List<(string, UnfinishedNote)> ClearLeftovers(string root, DateTimeOffset now)
    {
        var left = new List<(string, UnfinishedNote)>();
        foreach (string folder in Directory.GetDirectories(root, Prefix + "*"))
        {
            if (folder == Path) continue;
            try
            {
                string mark = System.IO.Path.Combine(folder, LockName);
                // A run that still lives holds its mark; a mark not yet made belongs to one that is just starting.
                if (!File.Exists(mark) && DateTime.UtcNow - Directory.GetCreationTimeUtc(folder) < TimeSpan.FromMinutes(1)) continue;
                using FileStream? held = File.Exists(mark) ? new FileStream(mark, FileMode.Open, FileAccess.Write, FileShare.None) : null;
                left.AddRange(TakeUnfinished(folder, now));
                held?.Dispose();
                Remove(folder);
            }
            catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
            {
                // In use, or another user's.
            }
        }
        return left;
    }

    /// <summary>Moves unfinished photos here. Only from a folder that no one else can write into, and no links.</summary>
    private List<(string, UnfinishedNote)> TakeUnfinished(string folder, DateTimeOffset now)
    {
        var taken = new List<(string, UnfinishedNote)>();
        if (!OperatingSystem.IsWindows() && File.GetUnixFileMode(folder) != (UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute)) return taken;
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
