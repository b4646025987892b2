namespace Analyzer.Cli.Shell;

/// <summary>A folder that a command is going to write into, tried before the long work begins.</summary>
internal sealed class OutputFolder
{
    private readonly List<string> _made;

    private OutputFolder(string path, List<string> made)
    {
        Path = path;
        _made = made;
    }

    public string Path { get; }

    /// <summary>Makes the folder where it is missing and writes a trial file into it. Trouble is the user's error, told before any work.</summary>
    public static OutputFolder Prepare(string option, string path)
    {
        var made = new List<string>();
        try
        {
            string full = System.IO.Path.GetFullPath(path);
            if (File.Exists(full))
                throw new UserErrorException($"{option} {path}: this is a file, not a folder; choose another name.");
            for (string? folder = full; folder is not null && !Directory.Exists(folder); folder = System.IO.Path.GetDirectoryName(folder)) made.Add(folder);
            Directory.CreateDirectory(full);
            string trial = System.IO.Path.Combine(full, $".trial.{Guid.NewGuid():N}.part");
            using (var stream = new FileStream(trial, FileMode.Create, FileAccess.Write, FileShare.None, 1, FileOptions.DeleteOnClose))
            {
                stream.Write(new byte[4096]);
                stream.Flush(flushToDisk: true);
            }
            return new OutputFolder(path, made);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            new OutputFolder(path, made).Undo();
            throw new UserErrorException($"{option} {path}: nothing can be written there ({Why(trouble)}); choose another folder.", inner: trouble);
        }
    }

    /// <summary>Takes away the folders that were made, as far as they are empty.</summary>
    public void Undo()
    {
        foreach (string folder in _made)
        {
            try
            {
                if (Directory.Exists(folder) && !Directory.EnumerateFileSystemEntries(folder).Any()) Directory.Delete(folder);
            }
            catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
            {
                return;
            }
        }
    }

    private static string Why(Exception trouble) => trouble switch
    {
        UnauthorizedAccessException => "you may not write there",
        _ when IsFull(trouble) => "the disk is full",
        ArgumentException or NotSupportedException or PathTooLongException => "it is not a possible name",
        _ => "the system refuses it",
    };

    /// <summary>True for the system's "no space left on device" (ENOSPC 28) and ERROR_DISK_FULL (112) or ERROR_HANDLE_DISK_FULL (39).</summary>
    public static bool IsFull(Exception trouble) => trouble is IOException && (trouble.HResult is 28 || (trouble.HResult & 0xFFFF) is 112 or 39);
}
