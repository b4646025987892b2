using System.Globalization;
using System.Text;

namespace Analyzer.Cli.Shell;

/// <summary>Trouble nobody foresaw: the details go into a file, the terminal gets one sentence.</summary>
internal static class TroubleLog
{
    public static string Sentence(Exception trouble, IReadOnlyList<string> words)
    {
        Exception root = trouble.GetBaseException();
        string what = root switch
        {
            OutOfMemoryException => "There is not enough memory for this photo; close other programs or give a smaller photo",
            DllNotFoundException => "A library the program needs cannot be loaded; start it with tools/run, which installs what is missing",
            _ when OutputFolder.IsFull(root) => "The disk is full; make room and run this again",
            _ => "The program met trouble it was not prepared for; please report it",
        };
        return Write(trouble, words) is { } path ? $"{what} (details: {path})." : $"{what}.";
    }

    /// <summary>Writes the log, or gives null when even that is not possible.</summary>
    private static string? Write(Exception trouble, IReadOnlyList<string> words)
    {
        try
        {
            string folder = Path.Combine(Path.GetTempPath(), "stitch-accuracy-analyzer");
            Directory.CreateDirectory(folder);
            string stamp = DateTime.UtcNow.ToString("yyyyMMdd-HHmmss-fff", CultureInfo.InvariantCulture);
            string path = Path.Combine(folder, $"trouble-{stamp}-{Environment.ProcessId}.log");
            var text = new StringBuilder();
            text.AppendLine(CultureInfo.InvariantCulture, $"version {typeof(TroubleLog).Assembly.GetName().Version}, {Environment.OSVersion}, .NET {Environment.Version}");
            text.AppendLine(string.Join(' ', words.Select(word => word.Contains(' ', StringComparison.Ordinal) ? $"\"{word}\"" : word)));
            text.AppendLine(trouble.ToString());
            File.WriteAllText(path, text.ToString());
            return path;
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException or System.Security.SecurityException)
        {
            return null;
        }
    }
}
