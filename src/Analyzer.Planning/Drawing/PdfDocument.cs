using System.Globalization;
using System.IO.Compression;
using System.Text;
using Analyzer.Planning.Paper;

namespace Analyzer.Planning.Drawing;

/// <summary>A small PDF 1.7 file of vector pages in the standard fonts. It asks viewers not to scale when printing.</summary>
/// <remarks>ISO 32000-1: user space 1/72 in (8.3.2.3), PrintScaling None (12.2).</remarks>
internal sealed class PdfDocument(string title)
{
    private readonly List<PdfCanvas> _pages = [];

    public PdfCanvas AddPage(double widthMm, double heightMm)
    {
        var page = new PdfCanvas(widthMm, heightMm);
        _pages.Add(page);
        return page;
    }

    public byte[] ToBytes()
    {
        using var file = new MemoryStream();
        var offsets = new List<long>();
        void Write(string text) => file.Write(Encoding.Latin1.GetBytes(text));
        void Object(string body)
        {
            offsets.Add(file.Position);
            Write($"{offsets.Count} 0 obj\n{body}\nendobj\n");
        }
        Write("%PDF-1.7\n%\u00e2\u00e3\u00cf\u00d3\n");
        string kids = string.Join(' ', Enumerable.Range(0, _pages.Count).Select(i => $"{6 + 2 * i} 0 R"));
        Object("<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>");
        Object($"<< /Type /Pages /Kids [{kids}] /Count {_pages.Count} >>");
        Object("<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>");
        Object("<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica-Bold /Encoding /WinAnsiEncoding >>");
        Object($"<< /Title {PdfCanvas.Literal(title)} /Producer (Stitch Accuracy Analyzer) >>");
        foreach (PdfCanvas page in _pages)
        {
            string box = string.Create(CultureInfo.InvariantCulture, $"[0 0 {Points.FromMm(page.WidthMm):0.####} {Points.FromMm(page.HeightMm):0.####}]");
            Object($"<< /Type /Page /Parent 2 0 R /MediaBox {box} /Resources << /Font << /F1 3 0 R /F2 4 0 R >> >> /Contents {offsets.Count + 2} 0 R >>");
            byte[] packed = Pack(page.Content);
            offsets.Add(file.Position);
            Write($"{offsets.Count} 0 obj\n<< /Length {packed.Length} /Filter /FlateDecode >>\nstream\n");
            file.Write(packed);
            Write("\nendstream\nendobj\n");
        }
        long table = file.Position;
        Write($"xref\n0 {offsets.Count + 1}\n0000000000 65535 f \n");
        foreach (long offset in offsets) Write($"{offset:0000000000} 00000 n \n");
        Write($"trailer\n<< /Size {offsets.Count + 1} /Root 1 0 R /Info 5 0 R >>\nstartxref\n{table}\n%%EOF\n");
        return file.ToArray();
    }

    private static byte[] Pack(string content)
    {
        using var packed = new MemoryStream();
        using (var zip = new ZLibStream(packed, CompressionLevel.Optimal, leaveOpen: true))
            zip.Write(Encoding.Latin1.GetBytes(content));
        return packed.ToArray();
    }
}

/// <summary>One page of a <see cref="PdfDocument"/>.</summary>
internal sealed class PdfCanvas(double widthMm, double heightMm) : Canvas
{
    /// <summary>Control point distance of a quarter circle drawn as one Bezier curve, radii.</summary>
    private const double Quarter = 0.5522847498;

    private readonly StringBuilder _content = new("1 j\n");

    public double WidthMm => widthMm;

    public double HeightMm => heightMm;

    public string Content => _content.ToString();

    public override void Path(IReadOnlyList<(double X, double Y)> points, Pen? pen, string? fill = null, bool closed = false)
    {
        Set(pen, fill);
        for (int i = 0; i < points.Count; i++) _content.Append(At(points[i].X, points[i].Y)).Append(i == 0 ? " m\n" : " l\n");
        Paint(pen, fill, closed);
    }

    public override void Circle(double x, double y, double radius, Pen? pen, string? fill = null) =>
        RoundRect(x - radius, y - radius, 2 * radius, 2 * radius, radius, pen, fill);

    public override void RoundRect(double x, double y, double width, double height, double radius, Pen? pen, string? fill = null)
    {
        Set(pen, fill);
        double r = radius, k = radius * (1 - Quarter), right = x + width, bottom = y + height;
        _content.Append(At(x + r, y)).Append(" m\n").Append(At(right - r, y)).Append(" l\n");
        Curve(right - k, y, right, y + k, right, y + r);
        _content.Append(At(right, bottom - r)).Append(" l\n");
        Curve(right, bottom - k, right - k, bottom, right - r, bottom);
        _content.Append(At(x + r, bottom)).Append(" l\n");
        Curve(x + k, bottom, x, bottom - k, x, bottom - r);
        _content.Append(At(x, y + r)).Append(" l\n");
        Curve(x, y + k, x + k, y, x + r, y);
        Paint(pen, fill, closed: true);
    }

    public override void Text(double x, double y, string text, double sizeMm, string color = "#222222", Anchor anchor = Anchor.Start, bool bold = false)
    {
        double width = Letters.Width(text, sizeMm, bold);
        double left = anchor switch { Anchor.Middle => x - width / 2, Anchor.End => x - width, _ => x };
        _content.Append(CultureInfo.InvariantCulture, $"BT {Rgb(color)} rg /{(bold ? "F2" : "F1")} {N(Points.FromMm(sizeMm))} Tf {At(left, y)} Td {Literal(text)} Tj ET\n");
    }

    public override void BeginClip(double x, double y, double width, double height) =>
        _content.Append(CultureInfo.InvariantCulture, $"q {At(x, y + height)} {N(Points.FromMm(width))} {N(Points.FromMm(height))} re W n\n");

    public override void EndClip() => _content.Append("Q\n");

    /// <summary>A text in the standard Latin encoding; letters outside it become a question mark.</summary>
    public static string Literal(string text)
    {
        var literal = new StringBuilder("(");
        foreach (char c in text)
        {
            char safe = c switch { '’' => '\'', '–' or '—' => '-', _ when c > 255 => '?', _ => c };
            if (safe is '(' or ')' or '\\') literal.Append('\\');
            literal.Append(safe);
        }
        return literal.Append(')').ToString();
    }

    private void Curve(double x1, double y1, double x2, double y2, double x3, double y3) =>
        _content.Append(At(x1, y1)).Append(' ').Append(At(x2, y2)).Append(' ').Append(At(x3, y3)).Append(" c\n");

    private void Set(Pen? pen, string? fill)
    {
        if (fill is not null) _content.Append(Rgb(fill)).Append(" rg\n");
        if (pen is null) return;
        string dash = string.Join(' ', pen.DashMm.Select(d => N(Points.FromMm(d))));
        _content.Append(CultureInfo.InvariantCulture, $"{Rgb(pen.Color)} RG {N(Points.FromMm(pen.WidthMm))} w [{dash}] 0 d\n");
    }

    private void Paint(Pen? pen, string? fill, bool closed) =>
        _content.Append((pen, fill, closed) switch
        {
            (null, _, _) => "f\n",
            (_, null, true) => "s\n",
            (_, null, false) => "S\n",
            (_, _, true) => "b\n",
            _ => "B\n",
        });

    private string At(double x, double y) => N(Points.FromMm(x)) + " " + N(Points.FromMm(heightMm - y));

    private static string Rgb(string color)
    {
        int rgb = int.Parse(color.AsSpan(1), NumberStyles.HexNumber, CultureInfo.InvariantCulture);
        return string.Create(CultureInfo.InvariantCulture, $"{(rgb >> 16 & 255) / 255.0:0.###} {(rgb >> 8 & 255) / 255.0:0.###} {(rgb & 255) / 255.0:0.###}");
    }

    private static string N(double value) => value.ToString("0.####", CultureInfo.InvariantCulture);
}
