using System.Globalization;
using System.Text;

namespace Analyzer.Reporting.Tables;

/// <summary>Writes comma-separated rows by RFC 4180: CRLF line ends, cells with comma, quote or line break in doubled quotes.</summary>
/// <remarks>A text that a spreadsheet would take for a formula (first character = + - @ tab or return) gets an apostrophe before it. Numbers do not.</remarks>
internal sealed class CsvText
{
    private readonly StringBuilder _text = new();
    private bool _rowStarted;

    public CsvText Cell(string? text)
    {
        string safe = text ?? "";
        if (safe.Length > 0 && "=+-@\t\r\n".Contains(safe[0])) safe = "'" + safe;
        return Raw(safe.AsSpan().IndexOfAny(",\"\r\n") >= 0 ? "\"" + safe.Replace("\"", "\"\"") + "\"" : safe);
    }

    /// <summary>A number in invariant culture; empty where not known.</summary>
    public CsvText Cell(double? value, string format = "0.####")
    {
        if (value is not { } v || !double.IsFinite(v)) return Raw("");
        string text = v.ToString(format, CultureInfo.InvariantCulture);
        return Raw(text == "-0" ? "0" : text);
    }

    public CsvText Row()
    {
        _text.Append("\r\n");
        _rowStarted = false;
        return this;
    }

    public override string ToString() => _text.ToString();

    private CsvText Raw(string text)
    {
        if (_rowStarted) _text.Append(',');
        _text.Append(text);
        _rowStarted = true;
        return this;
    }
}
