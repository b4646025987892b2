using System.Text;

namespace Analyzer.Practice.Classroom;

/// <summary>Finds who sewed what: a sub-folder for each person, a name before the first "-" or "_" of a file, or a CSV list.</summary>
public static class ClassFolder
{
    private static readonly string[] Endings = [".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".heic", ".heif", ".json"];

    private const int MostItems = 2000;

    public static IReadOnlyList<ClassItem> Read(string folder)
    {
        if (!Directory.Exists(folder)) throw new ClassListException($"{folder} is not a folder; give the folder that holds the class's photos.");
        var items = new List<ClassItem>();
        foreach (string sub in Directory.EnumerateDirectories(folder).Order(StringComparer.Ordinal))
            items.AddRange(Files(sub).Select(f => new ClassItem(System.IO.Path.GetFileName(sub), f, null, null)));
        foreach (string file in Files(folder))
        {
            items.Add(new ClassItem(PersonOf(System.IO.Path.GetFileName(file)), file, null, null));
        }
        return Checked(items, folder);
    }

    /// <summary>Who sewed it, by the file's name: the part before the first "-" or "_".</summary>
    public static string PersonOf(string fileName)
    {
        string name = System.IO.Path.GetFileNameWithoutExtension(fileName);
        int cut = name.IndexOfAny(['-', '_']);
        return (cut > 0 ? name[..cut] : name).Trim();
    }

    /// <summary>A list with the columns person, photo, and if wanted size and grid; photo paths are relative to the list.</summary>
    public static IReadOnlyList<ClassItem> ReadList(string path)
    {
        string text;
        try
        {
            text = File.ReadAllText(path);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            throw new ClassListException($"The list {path} cannot be read; check its name and folder.", trouble);
        }
        List<string[]> rows = Rows(text);
        if (rows.Count == 0) throw new ClassListException($"The list {path} is empty; its first line names the columns: person,photo,size,grid.");
        string[] head = [.. rows[0].Select(h => h.Trim().ToLowerInvariant())];
        int person = Array.IndexOf(head, "person"), photo = Array.IndexOf(head, "photo"), size = Array.IndexOf(head, "size"), grid = Array.IndexOf(head, "grid");
        if (person < 0 || photo < 0) throw new ClassListException($"The list {path} needs the columns person and photo in its first line; it has: {string.Join(", ", head)}.");
        string folder = System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(path))!;
        var items = new List<ClassItem>();
        for (int r = 1; r < rows.Count; r++)
        {
            string[] row = rows[r];
            string? Cell(int c) => c >= 0 && c < row.Length && row[c].Trim().Length > 0 ? row[c].Trim() : null;
            if (row.All(c => c.Trim().Length == 0)) continue;
            if (Cell(person) is not { } who || Cell(photo) is not { } file)
                throw new ClassListException($"The list {path}, line {r + 1}: person or photo is missing.");
            items.Add(new ClassItem(who, System.IO.Path.Combine(folder, file), Cell(size), Cell(grid)));
        }
        return Checked(items, path);
    }

    private static IEnumerable<string> Files(string folder) =>
        Directory.EnumerateFiles(folder).Where(f => Endings.Contains(System.IO.Path.GetExtension(f).ToLowerInvariant()) && !System.IO.Path.GetFileName(f).StartsWith('.'))
            .Order(StringComparer.Ordinal);

    private static List<ClassItem> Checked(List<ClassItem> items, string where)
    {
        if (items.Count == 0) throw new ClassListException($"{where} holds no photos; put one sub-folder for each person into it, or photos named person-1.jpg.");
        if (items.Count > MostItems) throw new ClassListException($"{where} holds {items.Count} photos; at most {MostItems} are taken at once.");
        return items;
    }

    /// <summary>RFC 4180: quotes, doubled quotes, line ends inside quotes; comma or semicolon by the first line.</summary>
    private static List<string[]> Rows(string text)
    {
        text = text.TrimStart('\uFEFF');
        string first = text.Split('\n')[0];
        char separator = first.Count(c => c == ';') > first.Count(c => c == ',') ? ';' : ',';
        var rows = new List<string[]>();
        var row = new List<string>();
        var cell = new StringBuilder();
        bool quoted = false;
        for (int i = 0; i < text.Length; i++)
        {
            char c = text[i];
            if (quoted && c == '"' && i + 1 < text.Length && text[i + 1] == '"') cell.Append(text[++i]);
            else if (c == '"') quoted = !quoted;
            else if (!quoted && c == separator) EndCell();
            else if (!quoted && c == '\n') EndRow();
            else if (c != '\r' || quoted) cell.Append(c);
        }
        if (cell.Length > 0 || row.Count > 0) EndRow();
        return rows;

        void EndCell()
        {
            row.Add(cell.ToString());
            cell.Clear();
        }

        void EndRow()
        {
            EndCell();
            rows.Add([.. row]);
            row.Clear();
        }
    }
}
