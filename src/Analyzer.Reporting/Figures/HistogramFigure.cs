using System.Text;
using Analyzer.Core.Report;
using Analyzer.Reporting.Html;

namespace Analyzer.Reporting.Figures;

/// <summary>How often each deviation occurs among all measured places, as percent of the places.</summary>
internal static class HistogramFigure
{
    private const double Width = 460, Left = 40, Right = 8, Top = 10, Plot = 150, Bottom = 40;

    public static string Draw(AccuracyReport report, UnitFormat units)
    {
        double[] all = [.. report.Lines.SelectMany(l => l.Samples).Select(s => s.DeviationMm / units.MmPerUnit)];
        double limit = Svg.NiceAbove(all.Max(Math.Abs));
        const int bins = 31;
        var counts = new int[bins];
        foreach (double d in all) counts[Math.Clamp((int)((d / limit + 1) / 2 * bins), 0, bins - 1)]++;
        double top = Svg.NiceAbove(100.0 * counts.Max() / all.Length);
        var svg = new StringBuilder();
        double[] sorted = [.. all.Order()];
        string middle = UnitFormat.Text(DeviationSummary.Quantile(sorted, 0.5)!.Value, units.MmPerUnit > 1 ? "0.000" : "0.00");
        svg.Append($"<svg class=\"histogram\" role=\"img\" aria-label=\"Histogram of the deviations of {all.Length} places, from {UnitFormat.Text(sorted[0], "0.00#")} to {UnitFormat.Text(sorted[^1], "0.00#")} {units.LongName}, middle value {middle}.\" viewBox=\"0 0 {Svg.N(Width)} {Svg.N(Top + Plot + Bottom)}\">");
        double wide = Width - Left - Right, bin = wide / bins;
        for (int step = 0; step <= 2; step++)
        {
            double y = Top + Plot * (1 - step / 2.0);
            svg.Append($"<path class=\"grid\" d=\"M{Svg.N(Left)} {Svg.N(y)}H{Svg.N(Width - Right)}\"/>").Append(Text(Left - 5, y + 4, "end", UnitFormat.Text(top * step / 2, "0.##") + " %"));
        }
        for (int i = 0; i < bins; i++)
        {
            double h = Plot * (100.0 * counts[i] / all.Length) / top;
            if (h > 0) svg.Append($"<rect class=\"count\" x=\"{Svg.N(Left + i * bin + 0.6)}\" y=\"{Svg.N(Top + Plot - h)}\" width=\"{Svg.N(bin - 1.2)}\" height=\"{Svg.N(h)}\"/>");
        }
        double zero = Left + wide / 2;
        svg.Append($"<path class=\"zero\" stroke-width=\"1.2\" stroke-dasharray=\"5 3\" d=\"M{Svg.N(zero)} {Svg.N(Top)}V{Svg.N(Top + Plot)}\"/>");
        for (int tick = -2; tick <= 2; tick++)
            svg.Append(Text(Left + wide * (tick + 2) / 4, Top + Plot + 15, tick == -2 ? "start" : tick == 2 ? "end" : "middle", (tick > 0 ? "+" : "") + UnitFormat.Text(limit * tick / 2, "0.####")));
        svg.Append(Text(zero, Top + Plot + 33, "middle", $"deviation from the intended line, {units.Name}"));
        return svg.Append("</svg>\n").ToString();
    }

    private static string Text(double x, double y, string anchor, string text) => $"<text class=\"axis\" x=\"{Svg.N(x)}\" y=\"{Svg.N(y)}\" text-anchor=\"{anchor}\">{text}</text>";
}
