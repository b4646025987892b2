using System.Globalization;
using Analyzer.Reporting.Pictures;
using SkiaSharp;

namespace Analyzer.Reporting.Sheets;

/// <summary>Text, picture and tables set down a page, with a new page where the old one is full. Points (1/72 in, ISO 32000-1, 8.3.2.3).</summary>
internal sealed class PdfPages : IDisposable
{
    private const float Edge = 48, FootRoom = 26;

    private static readonly SKColor Ink = SKColor.Parse("#1d2430"), Quiet = SKColor.Parse("#4c5563"), Rule = SKColor.Parse("#c9c2b4");

    private readonly SKDocument _document;
    private readonly float _width, _height;
    private readonly string _foot;
    private readonly SKTypeface _plain, _bold;
    private SKCanvas _canvas;
    private float _y;
    private int _page;

    public PdfPages(SKDocument document, float width, float height, string foot)
    {
        (_document, _width, _height, _foot) = (document, width, height, foot);
        _plain = OverlayFont.Typeface ?? SKTypeface.Default;
        _bold = SKTypeface.FromFamilyName(_plain.FamilyName, SKFontStyle.Bold) ?? _plain;
        _canvas = Begin();
    }

    public void Space(float points) => _y += points;

    public void Heading(string text)
    {
        Space(10);
        Room(60);
        Paragraph(text, 12.5f, bold: true);
    }

    public void Paragraph(string text, float size, bool bold = false, bool quiet = false)
    {
        using SKFont font = Font(size, bold);
        foreach (string line in Wrap(text, font, _width - 2 * Edge))
        {
            Room(size * 1.35f);
            _y += size * 1.12f;
            Text(line, Edge, _y, font, quiet ? Quiet : Ink);
            _y += size * 0.23f;
        }
        _y += size * 0.45f;
    }

    /// <summary>As wide as the page, or smaller so that it fits under what is on it; on a page of its own where less than half would be left of it.</summary>
    public void Image(SKImage image)
    {
        float most = _width - 2 * Edge, left = _height - Edge - FootRoom - _y, whole = most * image.Height / image.Width;
        if (left < whole * 0.55f)
        {
            NextPage();
            left = _height - Edge - FootRoom - _y;
        }
        float scale = Math.Min(most / image.Width, left / image.Height), w = image.Width * scale, h = image.Height * scale, x = (_width - w) / 2;
        _canvas.DrawImage(image, new SKRect(x, _y, x + w, _y + h), new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear));
        _y += h + 6;
    }

    /// <summary>Columns as wide as their shares; the head is repeated on every page.</summary>
    public void Table((string Name, float Share)[] columns, IEnumerable<string[]> rows)
    {
        const float size = 9, row = 14.5f;
        float all = columns.Sum(c => c.Share), width = Math.Min(_width - 2 * Edge, all * 70);
        float[] starts = new float[columns.Length];
        for (int i = 1; i < columns.Length; i++) starts[i] = starts[i - 1] + width * columns[i - 1].Share / all;
        using SKFont plain = Font(size, false), bold = Font(size, true);
        Head();
        foreach (string[] cells in rows)
        {
            if (Room(row)) Head();
            Row(cells, plain);
        }

        void Head() => Row([.. columns.Select(c => c.Name)], bold);

        void Row(string[] cells, SKFont font)
        {
            _y += row;
            for (int i = 0; i < cells.Length; i++) Text(cells[i], Edge + starts[i], _y - 4, font, Ink);
            using var line = new SKPaint { Color = Rule, StrokeWidth = font == bold ? 1 : 0.5f };
            _canvas.DrawLine(Edge, _y, Edge + width, _y, line);
        }
    }

    public void Dispose()
    {
        End();
        if (_bold != _plain) _bold.Dispose();
    }

    private static IEnumerable<string> Wrap(string text, SKFont font, float width)
    {
        string line = "";
        foreach (string word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            string longer = line.Length == 0 ? word : line + " " + word;
            if (line.Length > 0 && font.MeasureText(longer) > width)
            {
                yield return line;
                line = word;
            }
            else
            {
                line = longer;
            }
        }
        if (line.Length > 0) yield return line;
    }

    private SKFont Font(float size, bool bold) => new(bold ? _bold : _plain, size);

    private void Text(string text, float x, float y, SKFont font, SKColor colour)
    {
        using var paint = new SKPaint { Color = colour, IsAntialias = true };
        _canvas.DrawText(text, x, y, font, paint);
    }

    /// <summary>Turns the page where less room is left; says whether it did.</summary>
    private bool Room(float points)
    {
        if (_y + points <= _height - Edge - FootRoom) return false;
        NextPage();
        return true;
    }

    private void NextPage()
    {
        End();
        _canvas = Begin();
    }

    private SKCanvas Begin()
    {
        _page++;
        _y = Edge;
        return _document.BeginPage(_width, _height);
    }

    private void End()
    {
        using SKFont font = Font(8, false);
        string number = _page.ToString(CultureInfo.InvariantCulture);
        Text(_foot, Edge, _height - Edge + 12, font, Quiet);
        Text(number, _width - Edge - font.MeasureText(number), _height - Edge + 12, font, Quiet);
        _document.EndPage();
    }
}
