namespace Analyzer.Planning.Drawing;

/// <summary>A pen. Colour as #rrggbb, width and dashes in mm.</summary>
internal sealed record Pen(string Color, double WidthMm, params double[] DashMm);

internal enum Anchor
{
    Start,
    Middle,
    End,
}

/// <summary>A sheet to draw on: mm, origin top left, x right, y down. The same drawing code makes SVG and PDF.</summary>
internal abstract class Canvas
{
    public abstract void Path(IReadOnlyList<(double X, double Y)> points, Pen? pen, string? fill = null, bool closed = false);

    public abstract void Circle(double x, double y, double radius, Pen? pen, string? fill = null);

    public abstract void RoundRect(double x, double y, double width, double height, double radius, Pen? pen, string? fill = null);

    /// <param name="y">Base line of the letters.</param>
    public abstract void Text(double x, double y, string text, double sizeMm, string color = "#222222", Anchor anchor = Anchor.Start, bool bold = false);

    /// <summary>All drawing until <see cref="EndClip"/> shows only inside the rectangle.</summary>
    public abstract void BeginClip(double x, double y, double width, double height);

    public abstract void EndClip();

    public void Line(double x1, double y1, double x2, double y2, Pen pen) => Path([(x1, y1), (x2, y2)], pen);

    public void Rect(double x, double y, double width, double height, Pen? pen, string? fill = null) =>
        Path([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], pen, fill, closed: true);

    /// <summary>A filled arrow head with its tip at (x, y), pointing along (dx, dy).</summary>
    public void ArrowHead(double x, double y, double dx, double dy, double size, string color)
    {
        double length = Math.Sqrt(dx * dx + dy * dy), ux = dx / length, uy = dy / length;
        double bx = x - ux * size, by = y - uy * size, half = 0.38 * size;
        Path([(x, y), (bx - uy * half, by + ux * half), (x - ux * size * 0.72, y - uy * size * 0.72), (bx + uy * half, by - ux * half)], new Pen("#ffffff", 0.15), color, closed: true);
    }

    /// <summary>Lines of text broken at a width; returns the y after the last line.</summary>
    public double Paragraph(double x, double y, double width, string text, double sizeMm, string color = "#222222", double leading = 1.32)
    {
        foreach (string line in Letters.Wrap(text, width, sizeMm))
        {
            Text(x, y, line, sizeMm, color);
            y += sizeMm * leading;
        }
        return y;
    }
}

/// <summary>Widths of the letters of Helvetica, thousandths of the size, for centring and line breaks.</summary>
internal static class Letters
{
    // Standard widths of the printable ASCII letters from space on, as every PDF viewer carries them.
    private static readonly int[] Widths =
    [
        278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
        1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
        333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
    ];

    public static double Width(string text, double sizeMm, bool bold = false) =>
        text.Sum(c => c is >= ' ' and <= '~' ? Widths[c - ' '] : 480) / 1000.0 * sizeMm * (bold ? 1.06 : 1);

    public static IEnumerable<string> Wrap(string text, double width, double sizeMm)
    {
        string line = "";
        foreach (string word in text.Split(' '))
        {
            string longer = line.Length == 0 ? word : line + " " + word;
            if (line.Length > 0 && Width(longer, sizeMm) > width)
            {
                yield return line;
                longer = word;
            }
            line = longer;
        }
        if (line.Length > 0) yield return line;
    }
}
