using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Paper;

namespace Analyzer.Planning.Drawing;

/// <summary>The true-scale marking template: PDF over as many pages as needed, SVG in one piece. Every page carries check bars and a card outline.</summary>
public static class TemplateSheet
{
    private const string Ink = "#111111", Quiet = "#777777";

    public static byte[] Pdf(BlockPlan plan, TemplateSettings settings)
    {
        var layout = new TemplateLayout(plan.Grid.Size, settings);
        var document = new PdfDocument($"Marking template, {plan.SizeWords}");
        for (int i = 0; i < layout.Tiles.Count; i++)
        {
            TemplateTile tile = layout.Tiles[i];
            PdfCanvas page = document.AddPage(settings.Paper.WidthMm, settings.Paper.HeightMm);
            double dx = tile.PageX - tile.LeftMm, dy = tile.PageY - tile.TopMm;
            page.BeginClip(tile.PageX, tile.PageY, tile.WidthMm, tile.HeightMm);
            DrawBlock(page, plan, settings, dx, dy);
            page.EndClip();
            DrawSeams(page, layout, tile);
            DrawPanel(page, plan, settings, layout, i);
        }
        return document.ToBytes();
    }

    public static string Svg(BlockPlan plan, TemplateSettings settings)
    {
        double pad = settings.CornerMarks ? TemplateLayout.MarkPadMm : TemplateLayout.PadMm;
        BlockSize size = plan.Grid.Size;
        double width = Math.Max(size.WidthMm + 2 * pad, PrintScale.CardWidthMm + 120), height = size.HeightMm + 2 * pad + PrintScale.CardHeightMm + 8;
        var canvas = new SvgCanvas(width, height);
        DrawBlock(canvas, plan, settings, pad, pad);
        double y = size.HeightMm + 2 * pad + 3;
        DrawCard(canvas, pad, y);
        DrawBars(canvas, pad + PrintScale.CardWidthMm + 6, y + 6);
        double x = pad + PrintScale.CardWidthMm + 6;
        canvas.Text(x, y + 36, $"Marking template, {plan.SizeWords}", 4, Ink, bold: true);
        canvas.Text(x, y + 42, GridLine(plan), 3, Quiet);
        return canvas.ToDocument($"Marking template, {plan.SizeWords}");
    }

    private static string GridLine(BlockPlan plan) =>
        string.Join("; ", plan.Grid.Families.Select(f => $"{Words.LengthWords.Number(f.AngleDeg)}°, {plan.Lengths.Say(f.SpacingMm)} apart"));

    private static void DrawBlock(Canvas canvas, BlockPlan plan, TemplateSettings settings, double dx, double dy)
    {
        var pen = new Pen(Ink, settings.LineWeightMm);
        foreach (GridLine line in plan.Grid.Lines)
            canvas.Line(line.From.Xmm + dx, line.From.Ymm + dy, line.To.Xmm + dx, line.To.Ymm + dy, pen);
        BlockSize size = plan.Grid.Size;
        canvas.Rect(dx, dy, size.WidthMm, size.HeightMm, new Pen(Ink, settings.LineWeightMm * 1.8));
        if (!settings.CornerMarks) return;
        int id = 0;
        foreach (BlockPoint corner in size.Corners())
        {
            double sx = corner.Xmm < 1 ? -1 : 1, sy = corner.Ymm < 1 ? -1 : 1;
            double x = corner.Xmm + dx + sx * (CornerMarks.GapMm + CornerMarks.SideMm / 2), y = corner.Ymm + dy + sy * (CornerMarks.GapMm + CornerMarks.SideMm / 2);
            CornerMarks.Draw(canvas, id++, x, y);
        }
    }

    /// <summary>Where this tile meets its neighbours: a cut line in the middle of the overlap with crosses that carry the same letter on both pages.</summary>
    private static void DrawSeams(PdfCanvas page, TemplateLayout layout, TemplateTile tile)
    {
        double dx = tile.PageX - tile.LeftMm, dy = tile.PageY - tile.TopMm, half = TemplateLayout.OverlapMm / 2;
        var cut = new Pen(Quiet, 0.2, 1.2, 1.2);
        foreach (int side in (int[])[-1, 1])
        {
            int column = tile.Column + side;
            if (column >= 0 && column < layout.Columns)
            {
                double x = (side < 0 ? tile.LeftMm + half : tile.LeftMm + tile.WidthMm - half) + dx;
                page.Line(x, tile.PageY, x, tile.PageY + tile.HeightMm, cut);
                int seam = tile.Row * (layout.Columns - 1) + Math.Min(tile.Column, column);
                Cross(page, x, tile.PageY + tile.HeightMm * 0.25, Letter(2 * seam));
                Cross(page, x, tile.PageY + tile.HeightMm * 0.75, Letter(2 * seam + 1));
            }
            int row = tile.Row + side;
            if (row >= 0 && row < layout.Rows)
            {
                double y = (side < 0 ? tile.TopMm + half : tile.TopMm + tile.HeightMm - half) + dy;
                page.Line(tile.PageX, y, tile.PageX + tile.WidthMm, y, cut);
                int seam = layout.Rows * (layout.Columns - 1) + tile.Column * (layout.Rows - 1) + Math.Min(tile.Row, row);
                Cross(page, tile.PageX + tile.WidthMm * 0.25, y, Letter(2 * seam));
                Cross(page, tile.PageX + tile.WidthMm * 0.75, y, Letter(2 * seam + 1));
            }
        }
    }

    private static void Cross(PdfCanvas page, double x, double y, string letter)
    {
        var pen = new Pen(Ink, 0.2);
        page.Circle(x, y, 2.2, pen, "#ffffff");
        page.Line(x - 4.2, y, x + 4.2, y, pen);
        page.Line(x, y - 4.2, x, y + 4.2, pen);
        page.Text(x + 2.4, y - 2.4, letter, 3.2, Ink, bold: true);
    }

    /// <summary>A, B ... Z, AA, AB ...</summary>
    private static string Letter(int number) => number < 26 ? ((char)('A' + number)).ToString() : Letter(number / 26 - 1) + (char)('A' + number % 26);

    private static void DrawPanel(PdfCanvas page, BlockPlan plan, TemplateSettings settings, TemplateLayout layout, int index)
    {
        double x = layout.PanelX, y = layout.PanelY;
        bool side = settings.Paper.IsLandscape;
        DrawCard(page, x, y);
        double bx = side ? x : x + PrintScale.CardWidthMm + 4.5, by = side ? y + PrintScale.CardHeightMm + 10 : y + 4.5;
        DrawBars(page, bx, by);
        double ty = by + (side ? 30 : 24.5);
        TemplateTile tile = layout.Tiles[index];
        double planWidth = 26, planHeight = side ? 40 : 25;
        double textWidth = PrintScale.InchBarMm - planWidth - 3;
        page.Text(bx, ty, $"Marking template, page {index + 1} of {layout.Tiles.Count}", 3.6, Ink, bold: true);
        double at = ty + 4.3;
        at = page.Paragraph(bx, at, textWidth, plan.Title, 2.7, Ink);
        at = page.Paragraph(bx, at, textWidth, "Print at 100 % (actual size). Measure a bar: if it is off, the whole template is.", 2.5, Quiet, 1.25);
        if (layout.Tiles.Count > 1)
            page.Paragraph(bx, at, textWidth, $"Row {tile.Row + 1}, column {tile.Column + 1}. Cut on the dotted line and lay the crosses of the same letter on each other.", 2.5, Quiet, 1.25);
        DrawAssembly(page, plan, layout, index, bx + PrintScale.InchBarMm - planWidth, ty + 2, planWidth, planHeight);
    }

    private static void DrawAssembly(PdfCanvas page, BlockPlan plan, TemplateLayout layout, int index, double x, double y, double width, double height)
    {
        BlockSize size = plan.Grid.Size;
        double left = layout.Tiles.Min(t => t.LeftMm), top = layout.Tiles.Min(t => t.TopMm);
        double right = layout.Tiles.Max(t => t.LeftMm + t.WidthMm), bottom = layout.Tiles.Max(t => t.TopMm + t.HeightMm);
        double scale = Math.Min(width / (right - left), height / (bottom - top));
        double ox = x + width - (right - left) * scale, oy = y;
        double half = TemplateLayout.OverlapMm / 2;
        for (int i = 0; i < layout.Tiles.Count; i++)
        {
            TemplateTile t = layout.Tiles[i];
            double l = t.LeftMm + (t.Column > 0 ? half : 0), r = t.LeftMm + t.WidthMm - (t.Column < layout.Columns - 1 ? half : 0);
            double u = t.TopMm + (t.Row > 0 ? half : 0), d = t.TopMm + t.HeightMm - (t.Row < layout.Rows - 1 ? half : 0);
            double px = ox + (l - left) * scale, py = oy + (u - top) * scale, pw = (r - l) * scale, ph = (d - u) * scale;
            page.Rect(px, py, pw, ph, new Pen(Quiet, i == index ? 0.5 : 0.15), i == index ? "#d9d9d9" : "#ffffff");
            double letter = Math.Min(3.4, Math.Min(pw, ph) * 0.6);
            page.Text(px + pw / 2, py + ph / 2 + letter * 0.35, (i + 1).ToString(CultureInfo.InvariantCulture), letter, Ink, Anchor.Middle, bold: i == index);
        }
        page.Rect(ox - left * scale, oy - top * scale, size.WidthMm * scale, size.HeightMm * scale, new Pen(Ink, 0.3));
    }

    /// <summary>The outline of an ID-1 card (ISO/IEC 7810).</summary>
    private static void DrawCard(Canvas canvas, double x, double y)
    {
        canvas.RoundRect(x, y, PrintScale.CardWidthMm, PrintScale.CardHeightMm, PrintScale.CardRadiusMm, new Pen(Ink, 0.2));
        double middle = x + PrintScale.CardWidthMm / 2;
        canvas.Text(middle, y + 24, "Lay a bank or library card here.", 3.4, Quiet, Anchor.Middle);
        canvas.Text(middle, y + 29, "It fits exactly: the scale is right.", 3.4, Quiet, Anchor.Middle);
        canvas.Text(middle, y + 36, "85.60 mm x 53.98 mm", 2.8, Quiet, Anchor.Middle);
    }

    /// <summary>The 100 mm bar and below it the 4 in bar, from the same left end.</summary>
    private static void DrawBars(Canvas canvas, double x, double y)
    {
        Bar(canvas, x, y, PrintScale.BarMm, 10, "100 mm");
        Bar(canvas, x, y + 12, PrintScale.InchBarMm, Core.Units.Length.MillimetresPerInch, "4 in");
    }

    private static void Bar(Canvas canvas, double x, double y, double length, double tick, string name)
    {
        var pen = new Pen(Ink, 0.3);
        canvas.Line(x, y, x + length, y, pen);
        int ticks = (int)Math.Round(length / tick);
        for (int i = 0; i <= ticks; i++)
        {
            double tall = i == 0 || i == ticks ? 2.4 : 1.2;
            canvas.Line(x + i * tick, y - tall, x + i * tick, y + tall, pen);
        }
        canvas.Text(x + length / 2, y + 5.2, name, 3, Ink, Anchor.Middle, bold: true);
    }
}
