using System.Text;
using Analyzer.Core.Report;
using Analyzer.Reporting.Html;

namespace Analyzer.Reporting.Figures;

/// <summary>An arrow at every crossing from the intended toward the stitched place, drawn larger than life, with a size key.</summary>
internal static class CrossingMap
{
    /// <summary>With more crossings than this, single names and triangles are left out.</summary>
    private const int MostDetailed = 400;

    public static string Draw(AccuracyReport report, UnitFormat units)
    {
        BlockInfo block = report.Block!;
        double unit = Math.Max(block.WidthMm, block.HeightMm) / 200, edge = 8 * unit;
        DeviationSummary all = DeviationSummary.Of(report);
        double key = Svg.NiceAbove(Math.Max(all.NodeMedianMm ?? 0.1, 0.02) / units.MmPerUnit) * units.MmPerUnit;
        double factor = 0.3 * Pitch(report, block) / Math.Max(all.NodeP95Mm ?? key, 1e-6);
        var svg = new StringBuilder();
        string label = all.NodesMeasured == 0
            ? "Map of the block: no crossing was measured."
            : $"Map of the block with an arrow at each of {all.NodesMeasured} measured crossings; half are within {units.SmallWithUnit(all.NodeMedianMm)}, 95 of 100 within {units.SmallWithUnit(all.NodeP95Mm)}.";
        svg.Append($"<svg class=\"block\" role=\"img\" aria-label=\"{HtmlText.Escape(label)}\" viewBox=\"{Svg.N(-edge)} {Svg.N(-edge)} {Svg.N(block.WidthMm + 2 * edge)} {Svg.N(block.HeightMm + 2 * edge + 10 * unit)}\">\n");
        svg.Append($"<rect class=\"cloth\" width=\"{Svg.N(block.WidthMm)}\" height=\"{Svg.N(block.HeightMm)}\" stroke-width=\"{Svg.N(0.4 * unit)}\"/>\n");
        svg.Append($"<path class=\"faint\" stroke-width=\"{Svg.N(0.35 * unit)}\" d=\"{string.Concat(report.Lines.Select(l => Svg.Path([(l.FromMm[0], l.FromMm[1]), (l.ToMm[0], l.ToMm[1])])))}\"/>\n");
        bool detailed = report.Intersections.Count <= MostDetailed;
        foreach (IntersectionReport node in report.Intersections) Node(svg, node, factor, unit, units, detailed);
        Key(svg, block, key, factor, edge, unit, units);
        return svg.Append("</svg>\n").ToString();
    }

    private static double Pitch(AccuracyReport report, BlockInfo block) =>
        report.Grid is { Families.Count: > 0 } grid ? grid.Families.Min(f => f.SpacingMm) : Math.Min(block.WidthMm, block.HeightMm) / 6;

    private static void Node(StringBuilder svg, IntersectionReport node, double factor, double unit, UnitFormat units, bool detailed)
    {
        double x = node.IntendedMm[0], y = node.IntendedMm[1];
        if (node.StitchedMm is not { } at)
        {
            double r = 1.3 * unit;
            svg.Append($"<path class=\"missing\" stroke-width=\"{Svg.N(0.5 * unit)}\" d=\"M{Svg.N(x - r)} {Svg.N(y - r)}L{Svg.N(x + r)} {Svg.N(y + r)}M{Svg.N(x + r)} {Svg.N(y - r)}L{Svg.N(x - r)} {Svg.N(y + r)}\"/>\n");
            return;
        }
        if (detailed) svg.Append($"<g><title>{HtmlText.Escape(node.Id)}: {units.PlusMinus(node.RadialMm)} {units.Name}</title>");
        if (detailed && node.Crossings.Count == 3)
            svg.Append($"<path class=\"triangle\" stroke-width=\"{Svg.N(0.3 * unit)}\" d=\"{Svg.Path(node.Crossings.Select(c => (x + (c.AtMm[0] - x) * factor, y + (c.AtMm[1] - y) * factor)), close: true)}\"/>");
        svg.Append($"<circle class=\"dot\" cx=\"{Svg.N(x)}\" cy=\"{Svg.N(y)}\" r=\"{Svg.N(0.8 * unit)}\"/>");
        svg.Append(Arrow(x, y, (at[0] - x) * factor, (at[1] - y) * factor, unit)).Append(detailed ? "</g>\n" : "\n");
    }

    private static string Arrow(double x, double y, double dx, double dy, double unit)
    {
        double length = Math.Sqrt(dx * dx + dy * dy);
        if (length < 0.3 * unit) return "";
        double head = Math.Min(2.2 * unit, 0.6 * length), ux = dx / length, uy = dy / length;
        double bx = x + dx - ux * head, by = y + dy - uy * head, w = 0.42 * head;
        return $"<path class=\"arrow\" stroke-width=\"{Svg.N(0.65 * unit)}\" d=\"M{Svg.N(x)} {Svg.N(y)}L{Svg.N(bx)} {Svg.N(by)}\"/>" +
            $"<path class=\"head\" d=\"{Svg.Path([(x + dx, y + dy), (bx - uy * w, by + ux * w), (bx + uy * w, by - ux * w)], close: true)}\"/>";
    }

    private static void Key(StringBuilder svg, BlockInfo block, double key, double factor, double edge, double unit, UnitFormat units)
    {
        double y = block.HeightMm + edge + 1 * unit, length = key * factor;
        svg.Append($"<circle class=\"dot\" cx=\"0\" cy=\"{Svg.N(y)}\" r=\"{Svg.N(0.8 * unit)}\"/>").Append(Arrow(0, y, length, 0, unit));
        svg.Append($"<text class=\"ink\" x=\"{Svg.N(length + 3 * unit)}\" y=\"{Svg.N(y + 1.5 * unit)}\" font-size=\"{Svg.N(4.4 * unit)}\">an arrow this long: {units.SmallWithUnit(key)} off (drawn {UnitFormat.Text(factor, factor < 10 ? "0.#" : "0")} times)</text>\n");
    }
}
