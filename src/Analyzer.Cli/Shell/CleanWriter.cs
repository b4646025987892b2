using System.Text;

namespace Analyzer.Cli.Shell;

/// <summary>Passes text on without control characters: a file's name must not move the cursor or change the terminal's colours.</summary>
internal sealed class CleanWriter(TextWriter inner) : TextWriter
{
    public override Encoding Encoding => inner.Encoding;

    public override void Write(char value) => inner.Write(Clean(value));

    public override void Write(string? value)
    {
        if (value is null) return;
        inner.Write(value.Any(c => Clean(c) != c) ? new string([.. value.Select(Clean)]) : value);
    }

    public override void WriteLine(string? value)
    {
        Write(value);
        inner.WriteLine();
    }

    public override void Flush() => inner.Flush();

    /// <summary>Line ends, tabs and the return of the progress bar stay; so do all printable characters.</summary>
    private static char Clean(char c) => char.IsControl(c) && c is not ('\n' or '\r' or '\t') || c is '\u202E' or '\u202D' or '\u2066' or '\u2067' or '\u2068' ? '?' : c;
}
