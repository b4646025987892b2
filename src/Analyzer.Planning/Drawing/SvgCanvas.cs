using System.Globalization;
using System.Text;

namespace Analyzer.Planning.Drawing;

/// <summary>Draws into SVG whose user unit is 1 mm.</summary>
internal sealed class SvgCanvas(double widthMm, double heightMm) : Canvas
{
    private readonly StringBuilder _body = new();
    private int _clips;

    /// <summary>The whole document; true to scale when printed at 100 %.</summary>
    public string ToDocument(string title) => "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + ToElement(title, trueSize: true);

    /// <summary>The svg element alone, for a page.</summary>
    public string ToElement(string title, bool trueSize = false)
    {
        string size = trueSize ? string.Create(CultureInfo.InvariantCulture, $" width=\"{N(widthMm)}mm\" height=\"{N(heightMm)}mm\"") : "";
        return $"<svg xmlns=\"http://www.w3.org/2000/svg\"{size} viewBox=\"0 0 {N(widthMm)} {N(heightMm)}\" role=\"img\" font-family=\"Helvetica, Arial, sans-serif\"><title>{Escape(title)}</title>\n{_body}</svg>\n";
    }

    public override void Path(IReadOnlyList<(double X, double Y)> points, Pen? pen, string? fill = null, bool closed = false)
    {
        _body.Append("<path d=\"M");
        for (int i = 0; i < points.Count; i++)
            _body.Append(i == 0 ? "" : " L").Append(N(points[i].X)).Append(' ').Append(N(points[i].Y));
        _body.Append(closed ? " Z\"" : "\"").Append(Style(pen, fill)).Append("/>\n");
    }

    public override void Circle(double x, double y, double radius, Pen? pen, string? fill = null) =>
        _body.Append(CultureInfo.InvariantCulture, $"<circle cx=\"{N(x)}\" cy=\"{N(y)}\" r=\"{N(radius)}\"{Style(pen, fill)}/>\n");

    public override void RoundRect(double x, double y, double width, double height, double radius, Pen? pen, string? fill = null) =>
        _body.Append(CultureInfo.InvariantCulture, $"<rect x=\"{N(x)}\" y=\"{N(y)}\" width=\"{N(width)}\" height=\"{N(height)}\" rx=\"{N(radius)}\"{Style(pen, fill)}/>\n");

    public override void Text(double x, double y, string text, double sizeMm, string color = "#222222", Anchor anchor = Anchor.Start, bool bold = false)
    {
        string align = anchor switch { Anchor.Middle => " text-anchor=\"middle\"", Anchor.End => " text-anchor=\"end\"", _ => "" };
        _body.Append(CultureInfo.InvariantCulture, $"<text x=\"{N(x)}\" y=\"{N(y)}\" font-size=\"{N(sizeMm)}\" fill=\"{color}\"{align}{(bold ? " font-weight=\"bold\"" : "")}>{Escape(text)}</text>\n");
    }

    public override void BeginClip(double x, double y, double width, double height)
    {
        _clips++;
        _body.Append(CultureInfo.InvariantCulture, $"<clipPath id=\"clip{_clips}\"><rect x=\"{N(x)}\" y=\"{N(y)}\" width=\"{N(width)}\" height=\"{N(height)}\"/></clipPath><g clip-path=\"url(#clip{_clips})\">\n");
    }

    public override void EndClip() => _body.Append("</g>\n");

    public static string Escape(string text) =>
        text.Replace("&", "&amp;", StringComparison.Ordinal).Replace("<", "&lt;", StringComparison.Ordinal).Replace(">", "&gt;", StringComparison.Ordinal).Replace("\"", "&quot;", StringComparison.Ordinal);

    private static string Style(Pen? pen, string? fill)
    {
        string style = $" fill=\"{fill ?? "none"}\"";
        if (pen is null) return style;
        style += $" stroke=\"{pen.Color}\" stroke-width=\"{N(pen.WidthMm)}\" stroke-linejoin=\"round\"";
        return pen.DashMm.Length == 0 ? style : style + $" stroke-dasharray=\"{string.Join(' ', pen.DashMm.Select(N))}\"";
    }

    private static string N(double value) => Math.Round(value, 4).ToString("0.####", CultureInfo.InvariantCulture);
}
