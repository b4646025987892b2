using Analyzer.Core.Geometry;
using Analyzer.Core.Reference;
using SkiaSharp;

namespace Analyzer.Reporting.Sheets;

/// <summary>Draws the corner rule at true scale: an L to cut out, with square marks, and bars to check the print with.</summary>
public static class ReferenceSheetPdf
{
    /// <summary>ISO 32000-1, 8.3.2.3: one unit of default user space is 1/72 inch.</summary>
    private const float UnitsPerMm = 72f / 25.4f;

    /// <summary>ISO 216 A4 and US Letter, mm.</summary>
    public static IReadOnlyDictionary<string, (double WidthMm, double HeightMm)> Papers { get; } = new Dictionary<string, (double, double)>
    {
        ["a4"] = (210, 297),
        ["letter"] = (215.9, 279.4),
    };

    /// <param name="paper">"a4" or "letter".</param>
    /// <param name="cellsOf">Black cells of a mark, [row, column], rim included.</param>
    public static byte[] Draw(string paper, Func<int, bool[,]> cellsOf)
    {
        (double width, double height) = Papers[paper];
        using var stream = new MemoryStream();
        using (SKDocument document = SKDocument.CreatePdf(stream, new SKDocumentPdfMetadata { Title = "Corner rule", Producer = "Stitch Accuracy Analyzer", Creation = null, Modified = null }))
        {
            SKCanvas canvas = document.BeginPage((float)width * UnitsPerMm, (float)height * UnitsPerMm);
            canvas.Scale(UnitsPerMm);
            canvas.Translate((float)(width - CornerRule.RightArmMm) / 2, (float)(height - CornerRule.DownArmMm) / 2);
            DrawOutline(canvas);
            foreach (RuleMark mark in CornerRule.Marks) DrawMark(canvas, mark, cellsOf(mark.Id));
            DrawInside(canvas);
            document.EndPage();
        }
        return stream.ToArray();
    }

    private static void DrawOutline(SKCanvas canvas)
    {
        const float right = (float)CornerRule.RightArmMm, down = (float)CornerRule.DownArmMm, arm = (float)CornerRule.ArmWidthMm;
        using var line = new SKPaint { Style = SKPaintStyle.Stroke, StrokeWidth = 0.25f, Color = SKColors.Black, IsAntialias = true };
        using var path = new SKPath();
        path.AddPoly([new(0, 0), new(right, 0), new(right, arm), new(arm, arm), new(arm, down), new(0, down)]);
        canvas.DrawPath(path, line);
    }

    private static void DrawMark(SKCanvas canvas, RuleMark mark, bool[,] cells)
    {
        int n = cells.GetLength(0);
        float cell = (float)CornerRule.MarkSideMm / n;
        BlockPoint start = mark.Corners()[0];
        using var black = new SKPaint { Color = SKColors.Black, IsAntialias = false };
        for (int r = 0; r < n; r++)
        {
            // One rectangle for each run of black cells: no hairlines between neighbours.
            for (int c = 0; c < n; c++)
            {
                if (!cells[r, c]) continue;
                int end = c;
                while (end < n && cells[r, end]) end++;
                canvas.DrawRect((float)start.Xmm + c * cell, (float)start.Ymm + r * cell, (end - c) * cell, cell, black);
                c = end;
            }
        }
    }

    private static void DrawInside(SKCanvas canvas)
    {
        const float x = (float)CornerRule.ArmWidthMm + 8;
        float y = (float)CornerRule.ArmWidthMm + 16;
        Text(canvas, "Corner rule", x, y, 7, true);
        y += 12;
        foreach (string line in new[]
        {
            "1  Print at actual size (100 %), not \"fit to page\".",
            "2  Check both bars below with a ruler. More than 0.5 mm off?",
            "    Then the printer has scaled the page: print again.",
            "3  Cut out the L along the thin line.",
            "4  Lay it flat on the table round one corner of the block,",
            "    close to it but not on it, and photograph both together.",
            "",
            "Mind your fingers with scissors and rotary cutter;",
            "close the blade when you lay it down.",
        })
        {
            Text(canvas, line, x, y, 4, false);
            y += 7;
        }
        y += 8;
        Bar(canvas, x, y, (float)CornerRule.BarMm, 10, "100 mm", "10 mm steps");
        Bar(canvas, x, y + 28, (float)CornerRule.InchBarMm, 25.4f, "6 in", "1 in steps");
    }

    private static void Bar(SKCanvas canvas, float x, float y, float length, float step, string name, string steps)
    {
        using var ink = new SKPaint { Color = SKColors.Black, StrokeWidth = 0.3f, IsAntialias = true };
        using var fill = new SKPaint { Color = SKColors.Black };
        Text(canvas, $"{name}, in {steps}", x, y - 4, 3.6f, false);
        int count = (int)Math.Round(length / step);
        for (int i = 0; i < count; i++)
            if (i % 2 == 0) canvas.DrawRect(x + i * step, y, step, 4, fill);
        canvas.DrawLine(x, y + 4, x + length, y + 4, ink);
        canvas.DrawLine(x, y, x + length, y, ink);
        for (int i = 0; i <= count; i++) canvas.DrawLine(x + i * step, y, x + i * step, y + (i == 0 || i == count ? 8 : 6), ink);
    }

    private static void Text(SKCanvas canvas, string text, float x, float y, float sizeMm, bool bold)
    {
        using var font = new SKFont(SKTypeface.FromFamilyName(null, bold ? SKFontStyle.Bold : SKFontStyle.Normal), sizeMm);
        using var ink = new SKPaint { Color = SKColors.Black, IsAntialias = true };
        canvas.DrawText(text, x, y, font, ink);
    }
}
