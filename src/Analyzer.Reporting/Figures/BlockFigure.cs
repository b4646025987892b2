using System.Text;
using Analyzer.Core.Report;
using Analyzer.Reporting.Html;
using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting.Figures;

/// <summary>The block with intended lines (thin, dashed) and stitched lines (solid); deviation true or exaggerated. Drawn in block mm.</summary>
internal static class BlockFigure
{
    /// <summary>More lines than this and names would only cover the drawing.</summary>
    private const int MostNames = 90;

    public static string Draw(AccuracyReport report, BlockPicture? picture, UnitFormat units, double exaggeration, string description)
    {
        BlockInfo block = report.Block!;
        double unit = Math.Max(block.WidthMm, block.HeightMm) / 200, edge = 12 * unit;
        var svg = new StringBuilder();
        svg.Append($"<svg class=\"block\" role=\"img\" aria-label=\"{HtmlText.Escape(description)}\" viewBox=\"{Svg.N(-edge)} {Svg.N(-edge)} {Svg.N(block.WidthMm + 2 * edge)} {Svg.N(block.HeightMm + 2 * edge + 8 * unit)}\">\n");
        DrawGround(svg, block, picture, unit);
        foreach (LineReport line in report.Lines) Intended(svg, line, unit, onPhoto: picture is not null);
        foreach (LineReport line in report.Lines) Stitched(svg, line, unit, exaggeration, onPhoto: picture is not null);
        if (report.Lines.Count <= MostNames)
            foreach (LineReport line in report.Lines) Name(svg, line, unit);
        foreach (ExtraLine extra in report.ExtraLines)
            svg.Append($"<path class=\"extra\" stroke-width=\"{Svg.N(0.9 * unit)}\" stroke-dasharray=\"{Svg.N(0.6 * unit)} {Svg.N(0.9 * unit)}\" d=\"{Svg.Path([(extra.FromMm[0], extra.FromMm[1]), (extra.ToMm[0], extra.ToMm[1])])}\"/>\n");
        ScaleBar(svg, block, units, edge, unit);
        return svg.Append("</svg>\n").ToString();
    }

    private static void DrawGround(StringBuilder svg, BlockInfo block, BlockPicture? picture, double unit)
    {
        if (picture is not null)
        {
            double m = picture.MarginMm, w = picture.WidthPx / picture.PixelsPerMm, h = picture.HeightPx / picture.PixelsPerMm;
            svg.Append($"<image x=\"{Svg.N(-m)}\" y=\"{Svg.N(-m)}\" width=\"{Svg.N(w)}\" height=\"{Svg.N(h)}\" preserveAspectRatio=\"none\" href=\"data:{HtmlText.Escape(picture.MediaType)};base64,{Convert.ToBase64String(picture.Encoded)}\"/>\n");
        }
        string ground = picture is null ? "cloth" : "seam";
        svg.Append($"<rect class=\"{ground}\" width=\"{Svg.N(block.WidthMm)}\" height=\"{Svg.N(block.HeightMm)}\" stroke-width=\"{Svg.N(0.4 * unit)}\"/>\n");
    }

    private static void Intended(StringBuilder svg, LineReport line, double unit, bool onPhoto)
    {
        string path = Svg.Path([(line.FromMm[0], line.FromMm[1]), (line.ToMm[0], line.ToMm[1])]);
        if (onPhoto) svg.Append($"<path class=\"halo\" stroke-width=\"{Svg.N(0.9 * unit)}\" d=\"{path}\"/>");
        string dash = string.Join(' ', FamilyStyle.Of(line.Family).DashMm.Select(d => Svg.N(d * unit)));
        svg.Append($"<path class=\"intended\" stroke-width=\"{Svg.N(0.38 * unit)}\" stroke-dasharray=\"{dash}\" d=\"{path}\"/>\n");
    }

    private static void Stitched(StringBuilder svg, LineReport line, double unit, double exaggeration, bool onPhoto)
    {
        FamilyStyle style = FamilyStyle.Of(line.Family);
        List<List<(double X, double Y)>> pieces = LinePath.Pieces(line, exaggeration);
        if (pieces.Count == 0) return;
        string path = string.Concat(pieces.Select(p => Svg.Path(p)));
        if (onPhoto) svg.Append($"<path class=\"halo\" stroke-width=\"{Svg.N(1.5 * unit)}\" d=\"{path}\"/>");
        svg.Append($"<path class=\"f{line.Family % FamilyStyle.All.Count}\" stroke-width=\"{Svg.N(0.75 * unit)}\" d=\"{path}\"/>");
        int step = Math.Max(4, (int)(30 * unit));
        foreach (List<(double X, double Y)> piece in pieces)
            for (int i = step / 2; i < piece.Count; i += step)
                svg.Append(Marker(style, piece[i].X, piece[i].Y, 1.25 * unit));
        svg.Append('\n');
    }

    /// <summary>The marker of a family at a place, radius r, in the drawing's units.</summary>
    public static string Marker(FamilyStyle style, double x, double y, double r)
    {
        string edge = $"stroke=\"#fff\" stroke-width=\"{Svg.N(r * 0.3)}\"";
        return style.Marker switch
        {
            FamilyMarker.Disc => $"<circle cx=\"{Svg.N(x)}\" cy=\"{Svg.N(y)}\" r=\"{Svg.N(r)}\" fill=\"{style.Colour}\" {edge}/>",
            FamilyMarker.Square => $"<rect x=\"{Svg.N(x - r)}\" y=\"{Svg.N(y - r)}\" width=\"{Svg.N(2 * r)}\" height=\"{Svg.N(2 * r)}\" fill=\"{style.Colour}\" {edge}/>",
            FamilyMarker.Triangle => $"<path d=\"{Svg.Path([(x, y - 1.2 * r), (x + 1.1 * r, y + 0.8 * r), (x - 1.1 * r, y + 0.8 * r)], close: true)}\" fill=\"{style.Colour}\" {edge}/>",
            FamilyMarker.Ring => $"<circle cx=\"{Svg.N(x)}\" cy=\"{Svg.N(y)}\" r=\"{Svg.N(r)}\" fill=\"#fff\" stroke=\"{style.Colour}\" stroke-width=\"{Svg.N(r * 0.5)}\"/>",
            FamilyMarker.Bar => $"<rect x=\"{Svg.N(x - r / 2)}\" y=\"{Svg.N(y - 1.2 * r)}\" width=\"{Svg.N(r)}\" height=\"{Svg.N(2.4 * r)}\" fill=\"{style.Colour}\" {edge}/>",
            _ => "",
        };
    }

    private static void Name(StringBuilder svg, LineReport line, double unit)
    {
        (double ux, double uy) = LinePath.Along(line);
        double x = line.FromMm[0] - ux * 5.5 * unit, y = line.FromMm[1] - uy * 5.5 * unit;
        string missing = LinePath.IsSeen(line) ? "" : " ✕";
        svg.Append($"<text class=\"name t{line.Family % FamilyStyle.All.Count}\" x=\"{Svg.N(x)}\" y=\"{Svg.N(y + 1.4 * unit)}\" font-size=\"{Svg.N(4 * unit)}\" stroke-width=\"{Svg.N(1.1 * unit)}\" text-anchor=\"middle\">{HtmlText.Escape(line.Id)}{missing}</text>\n");
    }

    private static void ScaleBar(StringBuilder svg, BlockInfo block, UnitFormat units, double edge, double unit)
    {
        double length = units.ScaleBarMm, y = block.HeightMm + edge + 3 * unit, tick = 1.2 * unit;
        svg.Append($"<path class=\"bar\" stroke-width=\"{Svg.N(0.5 * unit)}\" d=\"M0 {Svg.N(y - tick)}V{Svg.N(y + tick)}M0 {Svg.N(y)}H{Svg.N(length)}M{Svg.N(length)} {Svg.N(y - tick)}V{Svg.N(y + tick)}\"/>");
        svg.Append($"<text class=\"ink\" x=\"{Svg.N(length + 2.5 * unit)}\" y=\"{Svg.N(y + 1.5 * unit)}\" font-size=\"{Svg.N(4.4 * unit)}\">{units.Long(length)}</text>\n");
    }
}
