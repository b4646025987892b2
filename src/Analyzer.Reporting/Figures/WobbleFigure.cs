using System.Text;
using Analyzer.Core.Report;
using Analyzer.Reporting.Html;
using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting.Figures;

/// <summary>One line's deviation along its length, with the band of ± 2u. All lines of a report share both axes.</summary>
internal sealed class WobbleFigure(UnitFormat units, double lengthMm, double limitMm)
{
    private const double Width = 460, Left = 46, Right = 10, Top = 8, Plot = 84, Bottom = 20;

    /// <summary>Axes that hold every sample with its band; the limit is a round number of the chosen unit.</summary>
    public static WobbleFigure For(AccuracyReport report, UnitFormat units)
    {
        double largest = report.Lines.SelectMany(l => l.Samples).Select(s => Math.Abs(s.DeviationMm)).DefaultIfEmpty(0.5).Max();
        double longest = report.Lines.Select(LinePath.LengthMm).DefaultIfEmpty(1).Max();
        return new WobbleFigure(units, longest, Svg.NiceAbove(Math.Max(largest, 0.1) * 1.05 / units.MmPerUnit) * units.MmPerUnit);
    }

    public string Draw(LineReport line)
    {
        var svg = new StringBuilder();
        double total = Top + Plot + Bottom;
        svg.Append($"<svg class=\"wobble\" role=\"img\" aria-label=\"{HtmlText.Escape(Describe(line))}\" viewBox=\"0 0 {Svg.N(Width)} {Svg.N(total)}\">");
        Axes(svg, line);
        foreach (List<LineSample> run in LinePath.Runs(line.Samples))
            svg.Append($"<path class=\"band\" d=\"{Svg.Path([.. run.Select(s => (X(s.AlongMm), Y(s.DeviationMm + 2 * s.U))), .. Enumerable.Reverse(run).Select(s => (X(s.AlongMm), Y(s.DeviationMm - 2 * s.U)))], close: true)}\"/>");
        ReferenceLine(svg, line);
        foreach (List<LineSample> run in LinePath.Runs(line.Samples))
            svg.Append($"<path class=\"f{line.Family % FamilyStyle.All.Count}\" stroke-width=\"1.1\" d=\"{Svg.Path(run.Select(s => (X(s.AlongMm), Y(s.DeviationMm))))}\"/>");
        return svg.Append("</svg>\n").ToString();
    }

    private string Describe(LineReport line)
    {
        LineSample worst = line.Samples.MaxBy(s => Math.Abs(s.DeviationMm))!;
        return $"Deviation of line {line.Id} along its length: from {units.Small(line.Samples.Min(s => s.DeviationMm))} to {units.SmallWithUnit(line.Samples.Max(s => s.DeviationMm))}, farthest at {units.Long(worst.AlongMm)}.";
    }

    private void Axes(StringBuilder svg, LineReport line)
    {
        double end = X(LinePath.LengthMm(line));
        svg.Append($"<rect class=\"frame\" x=\"{Svg.N(Left)}\" y=\"{Svg.N(Top)}\" width=\"{Svg.N(end - Left)}\" height=\"{Svg.N(Plot)}\"/>");
        svg.Append($"<path class=\"zero\" stroke-width=\"1\" stroke-dasharray=\"5 3\" d=\"M{Svg.N(Left)} {Svg.N(Y(0))}H{Svg.N(end)}\"/>");
        string limit = UnitFormat.Text(limitMm / units.MmPerUnit, "0.###");
        svg.Append(Label(Left - 5, Top + 9, "end", "−" + limit)).Append(Label(Left - 5, Y(0) + 4, "end", "0")).Append(Label(Left - 5, Top + Plot, "end", "+" + limit));
        double step = Step();
        for (double at = 0; at <= LinePath.LengthMm(line) + 1e-6; at += step)
        {
            svg.Append($"<path class=\"tick\" d=\"M{Svg.N(X(at))} {Svg.N(Top + Plot)}v3\"/>");
            svg.Append(Label(X(at), Top + Plot + 14, "middle", UnitFormat.Text(at / units.MmPerUnit, "0.##")));
        }
    }

    private void ReferenceLine(StringBuilder svg, LineReport line)
    {
        if (line.OffsetMm.Value is not { } offset || line.AngleDeg.Value is not { } angle) return;
        double length = LinePath.LengthMm(line), rise = Math.Tan(Math.PI * angle / 180) * length / 2;
        if (Sign(line) < 0) rise = -rise;
        svg.Append($"<path class=\"reference\" stroke-width=\"1\" stroke-dasharray=\"2 2\" d=\"M{Svg.N(X(0))} {Svg.N(Y(offset - rise))}L{Svg.N(X(length))} {Svg.N(Y(offset + rise))}\"/>");
    }

    /// <summary>Whether the stated angle grows or falls with the deviation's slope, taken from the samples themselves.</summary>
    private static int Sign(LineReport line)
    {
        if (line.Samples.Count < 2) return 1;
        double mx = line.Samples.Average(s => s.AlongMm), my = line.Samples.Average(s => s.DeviationMm);
        double slope = line.Samples.Sum(s => (s.AlongMm - mx) * (s.DeviationMm - my));
        return slope * line.AngleDeg.Value < 0 ? -1 : 1;
    }

    private double Step()
    {
        double inUnits = lengthMm / units.MmPerUnit;
        foreach (double step in new[] { 0.25, 0.5, 1, 2, 5, 10, 20, 25, 50, 100, 200, 500 })
            if (inUnits / step <= 9) return step * units.MmPerUnit;
        return 1000 * units.MmPerUnit;
    }

    private static string Label(double x, double y, string anchor, string text) =>
        $"<text class=\"axis\" x=\"{Svg.N(x)}\" y=\"{Svg.N(y)}\" text-anchor=\"{anchor}\">{text}</text>";

    private double X(double alongMm) => Left + (Width - Left - Right) * alongMm / lengthMm;

    private double Y(double deviationMm) => Top + Plot / 2 * (1 + Math.Clamp(deviationMm / limitMm, -1, 1));
}
