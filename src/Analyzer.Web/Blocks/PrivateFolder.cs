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

    public static PrivateFolder Make(string root)
    {
        RemoveLeftovers(root);
        string path = System.IO.Path.Combine(root, Prefix + Guid.NewGuid().ToString("N"));
        // 0700: a folder that exists already would keep its own rights, hence the name that nobody can guess.
        if (OperatingSystem.IsWindows()) Directory.CreateDirectory(path);
        else Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        return new PrivateFolder(path);
    }

    /// <summary>A new name inside the folder; nothing that came from outside is part of it.</summary>
    public string NewFile(string extension) => System.IO.Path.Combine(Path, Guid.NewGuid().ToString("N") + extension);

    public void Dispose()
    {
        _lock.Dispose();
        Remove(Path);
    }

    private static void RemoveLeftovers(string root)
    {
        if (!Directory.Exists(root)) return;
        foreach (string folder in Directory.EnumerateDirectories(root, Prefix + "*"))
        {
            try
            {
                string mark = System.IO.Path.Combine(folder, LockName);
                // A run that still lives holds its mark; a mark not yet made belongs to one that is just starting.
                if (!File.Exists(mark) && DateTime.UtcNow - Directory.GetCreationTimeUtc(folder) < TimeSpan.FromMinutes(1)) continue;
                if (File.Exists(mark)) new FileStream(mark, FileMode.Open, FileAccess.Write, FileShare.None).Dispose();
                Remove(folder);
            }
            catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
            {
                // In use, or another user's.
            }
        }
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
