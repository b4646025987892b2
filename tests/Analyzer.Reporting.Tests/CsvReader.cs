using System.Text;

namespace Analyzer.Reporting.Tests;

/// <summary>Reads CSV after the grammar of RFC 4180, section 2, on its own.</summary>
internal static class CsvReader
{
    public static List<Dictionary<string, string>> Read(string text)
    {
        List<List<string>> rows = Rows(text);
        return [.. rows.Skip(1).Select(row =>
        {
            Assert.Equal(rows[0].Count, row.Count);
            return rows[0].Zip(row).ToDictionary(p => p.First, p => p.Second);
        })];
    }

    public static List<List<string>> Rows(string text)
    {
        var rows = new List<List<string>>();
        var row = new List<string>();
        var cell = new StringBuilder();
        bool quoted = false;
        for (int i = 0; i < text.Length; i++)
        {
            char c = text[i];
            if (quoted && c == '"' && i + 1 < text.Length && text[i + 1] == '"') cell.Append(text[++i]);
            else if (c == '"') quoted = !quoted;
            else if (!quoted && c == ',') EndCell();
            else if (!quoted && c == '\r' && text[i + 1] == '\n')
            {
                EndCell();
                rows.Add(row);
                row = [];
                i++;
            }
            else cell.Append(c);
        }
        Assert.False(quoted);
        Assert.Empty(row);
        return rows;

        void EndCell()
        {
            row.Add(cell.ToString());
            cell.Clear();
        }
    }
}
