using System.Text;
using Analyzer.Practice.Pages;

namespace Analyzer.Practice.Classroom;

/// <summary>Writes class.html, class.csv and a sheet for each person into a folder; each file aside first, then renamed.</summary>
public static class ClassWriter
{
    public static void Write(ClassSummary summary, string folder)
    {
        string sheets = Path.Combine(folder, "sheets");
        Directory.CreateDirectory(sheets);
        Dictionary<string, string> names = SheetNames(summary);
        foreach (ClassPerson person in summary.People) WriteAside(Path.Combine(sheets, names[person.Name]), ClassPage.Sheet(person));
        WriteAside(Path.Combine(folder, "class.csv"), summary.Csv());
        WriteAside(Path.Combine(folder, "class.html"), ClassPage.Render(summary, p => "sheets/" + Uri.EscapeDataString(names[p.Name])));
    }

    public static void WriteAside(string path, string text) => WriteAside(path, new UTF8Encoding(false).GetBytes(text));

    /// <summary>Writes aside, flushes to the disk, and only then gives the file its name.</summary>
    public static void WriteAside(string path, byte[] bytes)
    {
        string part = path + "." + Guid.NewGuid().ToString("N") + ".part";
        try
        {
            using (var stream = new FileStream(part, FileMode.CreateNew, FileAccess.Write, FileShare.None))
            {
                stream.Write(bytes);
                stream.Flush(flushToDisk: true);
            }
            File.Move(part, path, overwrite: true);
        }
        finally
        {
            if (File.Exists(part)) File.Delete(part);
        }
    }

    /// <summary>File names from people's names: letters and digits kept, the rest a dash, never two alike.</summary>
    private static Dictionary<string, string> SheetNames(ClassSummary summary)
    {
        var names = new Dictionary<string, string>(StringComparer.Ordinal);
        var used = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (ClassPerson person in summary.People)
        {
            string clean = new string([.. person.Name.Select(c => char.IsLetterOrDigit(c) ? c : '-')]).Trim('-');
            if (clean.Length == 0) clean = "person";
            if (clean.Length > 60) clean = clean[..60];
            string name = clean;
            for (int n = 2; !used.Add(name); n++) name = $"{clean}-{n}";
            names[person.Name] = name + ".html";
        }
        return names;
    }
}
