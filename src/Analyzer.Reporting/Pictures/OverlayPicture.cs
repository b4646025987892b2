using Analyzer.Core.Report;
using SkiaSharp;

namespace Analyzer.Reporting.Pictures;

/// <summary>overlay.png: the rectified block with intended lines thin and dashed, stitched traces solid, legend and scale bar.</summary>
internal static class OverlayPicture
{
    private static readonly SKColor Ink = SKColor.Parse("#1d2430"), Paper = SKColors.White, Cloth = SKColor.Parse("#f1eee8");

    public static byte[] Draw(AccuracyReport report, BlockPicture? picture, ReportOptions options)
    {
        BlockInfo block = report.Block!;
        double margin = picture?.MarginMm ?? 6;
        double widthMm = block.WidthMm + 2 * margin, heightMm = block.HeightMm + 2 * margin;
        float scale = (float)(options.OverlayLongSidePx / Math.Max(widthMm, heightMm));
        int width = Math.Max(200, (int)Math.Round(widthMm * scale)), height = Math.Max(100, (int)Math.Round(heightMm * scale));
        float textPx = Math.Max(13, width / 58f), rowPx = textPx * 1.75f;
        int[] families = [.. report.Lines.Select(l => l.Family).Distinct().Order()];
        int legend = (int)(rowPx * (families.Length + 2.2f));

        using SKSurface surface = SKSurface.Create(new SKImageInfo(width, height + legend, SKColorType.Rgba8888, SKAlphaType.Opaque));
        SKCanvas canvas = surface.Canvas;
        canvas.Clear(Paper);
        DrawGround(canvas, picture, new SKRect(0, 0, width, height));
        canvas.Save();
        canvas.ClipRect(new SKRect(0, 0, width, height));
        canvas.Translate((float)margin * scale, (float)margin * scale);
        DrawLines(canvas, report, block, scale);
        canvas.Restore();
        DrawLegend(canvas, report, families, new UnitFormat(options.Units), new SKPoint(0, height), width, textPx, rowPx, scale);
        using SKImage image = surface.Snapshot();
        using SKPixmap pixels = image.PeekPixels() ?? throw new InvalidOperationException("A raster picture has pixels.");
        using SKData png = pixels.Encode(new SKPngEncoderOptions(SKPngEncoderFilterFlags.Sub, 1))
            ?? throw new InvalidOperationException("The picture could not be encoded.");
        return png.ToArray();
    }

    private static void DrawGround(SKCanvas canvas, BlockPicture? picture, SKRect area)
    {
        using var cloth = new SKPaint { Color = Cloth };
        canvas.DrawRect(area, cloth);
        if (picture is null) return;
        using SKImage? photo = SKImage.FromEncodedData(picture.Encoded);
        if (photo is not null) canvas.DrawImage(photo, area, new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear));
    }

    private static void DrawLines(SKCanvas canvas, AccuracyReport report, BlockInfo block, float scale)
    {
        float thin = Math.Max(1f, scale * 0.16f), thick = Math.Max(1.6f, scale * 0.34f);
        double size = Math.Max(block.WidthMm, block.HeightMm) / 200;
        foreach (LineReport line in report.Lines)
        {
            FamilyStyle style = FamilyStyle.Of(line.Family);
            using var path = new SKPath();
            path.MoveTo((float)line.FromMm[0] * scale, (float)line.FromMm[1] * scale);
            path.LineTo((float)line.ToMm[0] * scale, (float)line.ToMm[1] * scale);
            using SKPathEffect dash = SKPathEffect.CreateDash([.. style.DashMm.Select(d => (float)(d * size * scale))], 0);
            Stroke(canvas, path, SKColors.White.WithAlpha(190), thin * 2.6f, null);
            Stroke(canvas, path, Ink, thin, dash);
        }
        foreach (LineReport line in report.Lines)
        {
            FamilyStyle style = FamilyStyle.Of(line.Family);
            SKColor colour = SKColor.Parse(style.Colour);
            foreach (List<(double X, double Y)> piece in LinePath.Pieces(line, 1))
            {
                using var path = new SKPath();
                path.AddPoly([.. piece.Select(p => new SKPoint((float)p.X * scale, (float)p.Y * scale))], close: false);
                Stroke(canvas, path, SKColors.White.WithAlpha(200), thick * 2.2f, null);
                Stroke(canvas, path, colour, thick, null);
                for (int i = 10; i < piece.Count; i += 25)
                    Marker(canvas, style.Marker, new SKPoint((float)piece[i].X * scale, (float)piece[i].Y * scale), thick * 1.9f, colour);
            }
        }
    }

    private static void Stroke(SKCanvas canvas, SKPath path, SKColor colour, float width, SKPathEffect? dash)
    {
        using var paint = new SKPaint { Color = colour, StrokeWidth = width, IsStroke = true, IsAntialias = true, PathEffect = dash, StrokeJoin = SKStrokeJoin.Round };
        canvas.DrawPath(path, paint);
    }

    private static void Marker(SKCanvas canvas, FamilyMarker marker, SKPoint at, float r, SKColor colour)
    {
        if (marker == FamilyMarker.None) return;
        using SKPath path = new();
        if (marker is FamilyMarker.Disc or FamilyMarker.Ring) path.AddCircle(at.X, at.Y, r);
        else if (marker == FamilyMarker.Triangle) path.AddPoly([new(at.X, at.Y - r * 1.2f), new(at.X + r * 1.1f, at.Y + r * 0.8f), new(at.X - r * 1.1f, at.Y + r * 0.8f)]);
        else if (marker == FamilyMarker.Bar) path.AddRect(new SKRect(at.X - r * 0.5f, at.Y - r * 1.2f, at.X + r * 0.5f, at.Y + r * 1.2f));
        else path.AddRect(new SKRect(at.X - r, at.Y - r, at.X + r, at.Y + r));
        using var fill = new SKPaint { Color = marker == FamilyMarker.Ring ? SKColors.White : colour, IsAntialias = true };
        canvas.DrawPath(path, fill);
        Stroke(canvas, path, marker == FamilyMarker.Ring ? colour : SKColors.White, r * 0.45f, null);
    }

    private static void DrawLegend(SKCanvas canvas, AccuracyReport report, int[] families, UnitFormat units, SKPoint corner, int width, float textPx, float rowPx, float scale)
    {
        using var font = new SKFont(OverlayFont.Typeface ?? SKTypeface.Default, textPx);
        using var ink = new SKPaint { Color = Ink, IsAntialias = true };
        float left = textPx, sample = textPx * 5, y = corner.Y + rowPx * 0.9f;
        double size = Math.Max(report.Block!.WidthMm, report.Block.HeightMm) / 200;
        foreach (int family in families)
        {
            FamilyStyle style = FamilyStyle.Of(family);
            using SKPath dashed = Straight(left, y, left + sample, y), solid = Straight(left + sample * 1.25f, y, left + sample * 2.25f, y);
            using SKPathEffect dash = SKPathEffect.CreateDash([.. style.DashMm.Select(d => (float)(d * size * scale))], 0);
            Stroke(canvas, dashed, Ink, Math.Max(1.2f, scale * 0.2f), dash);
            SKColor colour = SKColor.Parse(style.Colour);
            Stroke(canvas, solid, colour, Math.Max(2, scale * 0.4f), null);
            Marker(canvas, style.Marker, new SKPoint(left + sample * 1.75f, y), textPx * 0.35f, colour);
            canvas.DrawText($"{FamilyWords.Name(report, family)}: intended ({style.DashWord}), stitched (solid, {style.MarkerWord})", left + sample * 2.45f, y + textPx * 0.35f, font, ink);
            y += rowPx;
        }
        float bar = (float)units.ScaleBarMm * scale;
        using SKPath scaleBar = new();
        scaleBar.MoveTo(left, y - textPx * 0.35f);
        scaleBar.LineTo(left, y + textPx * 0.35f);
        scaleBar.MoveTo(left, y);
        scaleBar.LineTo(left + bar, y);
        scaleBar.MoveTo(left + bar, y - textPx * 0.35f);
        scaleBar.LineTo(left + bar, y + textPx * 0.35f);
        Stroke(canvas, scaleBar, Ink, Math.Max(1.5f, textPx * 0.12f), null);
        canvas.DrawText(units.Long(units.ScaleBarMm) + "    Where no solid line is drawn, the thread could not be read.", left + bar + textPx * 0.8f, y + textPx * 0.35f, font, ink);
    }

    private static SKPath Straight(float x0, float y0, float x1, float y1)
    {
        var path = new SKPath();
        path.MoveTo(x0, y0);
        path.LineTo(x1, y1);
        return path;
    }
}
