namespace Analyzer.Reporting;

/// <summary>A set of file changes in one folder that can be undone until it is kept.</summary>
internal sealed class FolderChange(string folder)
{
    private readonly string _mark = ".report-" + Guid.NewGuid().ToString("N")[..8] + "-";
    private readonly List<string> _aside = [], _new = [], _replaced = [];

    public void WriteAside(string name, byte[] bytes)
    {
        string path = Aside(name);
        _aside.Add(path);
        using var stream = new FileStream(path, FileMode.CreateNew, FileAccess.Write, FileShare.None);
        stream.Write(bytes);
        stream.Flush(flushToDisk: true);
    }

    public void PutInPlace(string name)
    {
        string target = Path.Combine(folder, name);
        if (File.Exists(target))
        {
            _replaced.Add(name);
            File.Copy(target, Old(name));
            File.Move(Aside(name), target, overwrite: true);
        }
        else
        {
            File.Move(Aside(name), target);
            _new.Add(target);
        }
    }

    public void TakeAway(string name)
    {
        string target = Path.Combine(folder, name);
        if (!File.Exists(target)) return;
        File.Move(target, Old(name));
        _replaced.Add(name);
    }

    /// <summary>The change is done: the old files' copies go.</summary>
    public void Keep()
    {
        foreach (string name in _replaced) Quietly(() => File.Delete(Old(name)));
    }

    /// <summary>Puts everything back as it was. Never throws: the first trouble is what the user hears of.</summary>
    public void Undo()
    {
        foreach (string path in _new) Quietly(() => File.Delete(path));
        foreach (string name in _replaced)
            Quietly(() =>
            {
                if (File.Exists(Old(name))) File.Move(Old(name), Path.Combine(folder, name), overwrite: true);
            });
        foreach (string path in _aside) Quietly(() => File.Delete(path));
    }

    private string Aside(string name) => Path.Combine(folder, _mark + name + ".tmp");

    private string Old(string name) => Path.Combine(folder, _mark + name + ".old");

    private static void Quietly(Action action)
    {
        try
        {
            action();
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            // The folder has gone or is locked; nothing better can be done here.
        }
    }
}
