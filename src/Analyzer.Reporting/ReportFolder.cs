namespace Analyzer.Reporting;

/// <summary>Writes a report into a folder as a whole or not at all.</summary>
public static class ReportFolder
{
    private const int DiskFullLinux = 28, DiskFullWindows = unchecked((int)0x80070070), HandleDiskFullWindows = unchecked((int)0x80070027);

    /// <summary>Writes every file aside, flushes, then renames into place. An older report is replaced; on any trouble it stays as it was.</summary>
    public static void Write(string folder, ReportFiles files, CancellationToken cancel = default) =>
        Write(folder, files, _ => { }, cancel);

    /// <summary>The same for files that are no report, such as a plan: what else lies in the folder stays.</summary>
    public static void Write(string folder, IReadOnlyDictionary<string, byte[]> files, CancellationToken cancel = default) =>
        Write(folder, files, [], _ => { }, cancel);

    /// <param name="beforeStep">Called before each write ("write NAME") and each rename ("rename NAME"); what it throws counts as the step's failure.</param>
    internal static void Write(string folder, ReportFiles files, Action<string> beforeStep, CancellationToken cancel) =>
        Write(folder, files.Files, [.. ReportFiles.AllNames.Where(n => !files.Files.ContainsKey(n))], beforeStep, cancel);

    private static void Write(string folder, IReadOnlyDictionary<string, byte[]> files, string[] stale, Action<string> beforeStep, CancellationToken cancel)
    {
        using FolderTurn turn = FolderTurn.Take(folder);
        bool made = MakeFolder(folder);
        var change = new FolderChange(folder);
        try
        {
            foreach ((string name, byte[] bytes) in files)
            {
                cancel.ThrowIfCancellationRequested();
                beforeStep("write " + name);
                change.WriteAside(name, bytes);
            }
            cancel.ThrowIfCancellationRequested();
            foreach (string name in files.Keys)
            {
                beforeStep("rename " + name);
                change.PutInPlace(name);
            }
            foreach (string name in stale) change.TakeAway(name);
            change.Keep();
        }
        catch (Exception trouble)
        {
            change.Undo();
            if (made) TryDelete(folder);
            if (trouble is IOException or UnauthorizedAccessException) throw Explain(folder, trouble);
            throw;
        }
    }

    private static bool MakeFolder(string folder)
    {
        if (string.IsNullOrWhiteSpace(folder)) throw new ReportFolderException("No output folder was named; give one with --out FOLDER.");
        if (File.Exists(folder)) throw new ReportFolderException($"The output folder \"{folder}\" is a file; name another folder.");
        if (Directory.Exists(folder)) return false;
        try
        {
            Directory.CreateDirectory(folder);
            return true;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw Explain(folder, trouble);
        }
    }

    private static ReportFolderException Explain(string folder, Exception trouble)
    {
        bool full = trouble.HResult is DiskFullLinux or DiskFullWindows or HandleDiskFullWindows;
        string message = full
            ? $"The disk is full, so nothing was written to \"{folder}\"; free some space and run again."
            : trouble is UnauthorizedAccessException
                ? $"The output folder \"{folder}\" may not be written to, so nothing was written; choose another folder."
                : $"Nothing could be written to \"{folder}\"; see that the folder exists, can be written to and holds no folder named like one of the files, or choose another.";
        return new ReportFolderException(message, trouble);
    }

    private static void TryDelete(string folder)
    {
        try
        {
            Directory.Delete(folder);
        }
        catch (IOException)
        {
            // Someone else put something there meanwhile: leave it.
        }
    }
}
