using System.Globalization;
using System.Text;

namespace Analyzer.Reporting.Html;

/// <summary>A page's text under construction. Every text from outside passes <see cref="Escape"/>.</summary>
internal sealed class HtmlText
{
    private readonly StringBuilder _text = new(1 << 18);

    /// <summary>Appends markup that we wrote ourselves.</summary>
    public HtmlText Raw(string markup)
    {
        _text.Append(markup);
        return this;
    }

    /// <summary>Appends markup of our own with numbers in invariant culture.</summary>
    public HtmlText Raw(FormattableString markup)
    {
        _text.Append(markup.ToString(CultureInfo.InvariantCulture));
        return this;
    }

    /// <summary>Appends text, escaped.</summary>
    public HtmlText Text(string? text)
    {
        _text.Append(Escape(text));
        return this;
    }

    /// <summary>Appends an element holding text, escaped; attributes are our own markup.</summary>
    public HtmlText Element(string name, string? text, string attributes = "") =>
        Raw(attributes.Length > 0 ? $"<{name} {attributes}>" : $"<{name}>").Text(text).Raw($"</{name}>\n");

    public override string ToString() => _text.ToString();

    /// <summary>Text made safe in element content and quoted attributes; control and direction-override characters and lone surrogates become U+FFFD.</summary>
    public static string Escape(string? text)
    {
        if (string.IsNullOrEmpty(text)) return "";
        var safe = new StringBuilder(text.Length + 16);
        for (int i = 0; i < text.Length; i++)
        {
            char c = text[i];
            if (char.IsHighSurrogate(c) && i + 1 < text.Length && char.IsLowSurrogate(text[i + 1])) safe.Append(c).Append(text[++i]);
            else safe.Append(Escape(c));
        }
        return safe.ToString();
    }

    private static string Escape(char c) => c switch
    {
        '&' => "&amp;",
        '<' => "&lt;",
        '>' => "&gt;",
        '"' => "&quot;",
        '\'' => "&#39;",
        '\t' or '\n' or '\r' => " ",
        (>= '\u202a' and <= '\u202e') or (>= '\u2066' and <= '\u2069') or '\ufffe' or '\uffff' => "\ufffd",
        _ when char.IsControl(c) || char.IsSurrogate(c) => "\ufffd",
        _ => c.ToString(),
    };
}
