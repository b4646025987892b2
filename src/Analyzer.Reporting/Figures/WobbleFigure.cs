using System.Text;
using Analyzer.Core.Report;
using Analyzer.Reporting.Html;
using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting.Figures;

/// <summary>One line's deviation along its length, with the band of ± 2u. All lines of a report share both axes.</summary>
internal sealed class WobbleFigure(UnitFormat units, double lengthMm, double limitMm)
{
    private const double Width = 460, Height = 116, Left = 54, Right = 450, Top = 8, Bottom = 94;

    private const string Ink = "#1d2430", Quiet = "#4c5563", Ground = "#faf8f3", Rule = "#ddd7c9", Band = "#66758a";

    /// <summary>Axes that hold every sample with its band; the limit is a round number of the chosen unit.</summary>
    public static WobbleFigure For(AccuracyReport report, UnitFormat units)
    {
        double largest = report.Lines.SelectMany(l => l.Samples).Select(s => Math.Abs(s.DeviationMm)).DefaultIfEmpty(0.5).Max();
        double longest = report.Lines.Select(LinePath.LengthMm).DefaultIfEmpty(1).Max();
        return new WobbleFigure(units, longest, Svg.NiceAbove(Math.Max(largest, 0.1) * 1.05 / units.MmPerUnit) * units.MmPerUnit);
    }

    public string Draw(LineReport line)
    {
        double length = LinePath.LengthMm(line);
        var svg = new StringBuilder();
        svg.Append($"<svg class=\"wobble\" role=\"img\" aria-label=\"{HtmlText.Escape(Describe(line))}\" viewBox=\"0 0 {Svg.N(Width)} {Svg.N(Height)}\">\n");
        Axes(svg, length);
        List<List<LineSample>> runs = LinePath.Runs(line.Samples);
        foreach (List<LineSample> run in runs)
        {
            (double, double)[] around = [.. run.Select(s => At(s.AlongMm, s.DeviationMm + 2 * s.U)), .. Enumerable.Reverse(run).Select(s => At(s.AlongMm, s.DeviationMm - 2 * s.U))];
            svg.Append($"<path fill=\"{Band}\" fill-opacity=\"0.5\" d=\"{Svg.Path(around, close: true)}\"/>\n");
        }
        Stroke(svg, [At(0, 0), At(length, 0)], Ink, 1, "stroke-dasharray=\"6 4\"");
        ReferenceLine(svg, line, length);
        foreach (List<LineSample> run in runs)
            Stroke(svg, run.Select(s => At(s.AlongMm, s.DeviationMm)), FamilyStyle.Of(line.Family).Colour, 1.2, "stroke-linejoin=\"round\"");
        return svg.Append("</svg>\n").ToString();
    }

    private string Describe(LineReport line)
    {
        LineSample worst = line.Samples.MaxBy(s => Math.Abs(s.DeviationMm))!;
        return $"Deviation of line {line.Id} along its length: from {units.Small(line.Samples.Min(s => s.DeviationMm))} to {units.SmallWithUnit(line.Samples.Max(s => s.DeviationMm))}, farthest at {units.Long(worst.AlongMm)}.";
    }

    private void Axes(StringBuilder svg, double length)
    {
        (double end, _) = At(length, 0);
        svg.Append($"<rect x=\"{Svg.N(Left)}\" y=\"{Svg.N(Top)}\" width=\"{Svg.N(end - Left)}\" height=\"{Svg.N(Bottom - Top)}\" fill=\"{Ground}\" stroke=\"{Rule}\"/>\n");
        var ticks = new List<(double X, double Y)[]>();
        svg.Append($"<g font-size=\"11.5\" fill=\"{Quiet}\">");
        foreach (double v in (double[])[-limitMm, 0, limitMm])
        {
            (double _, double y) = At(0, v);
            ticks.Add([(Left - 3, y), (Left, y)]);
            Text(Left - 8, y + 4, "end", v == 0 ? "0" : (v < 0 ? "−" : "+") + UnitFormat.Text(Math.Abs(v) / units.MmPerUnit, "0.###"));
        }
        double step = Step();
        foreach (double at in Enumerable.Range(0, 200).Select(k => k * step).TakeWhile(at => at <= length / units.MmPerUnit + 1e-6))
        {
            (double x, _) = At(at * units.MmPerUnit, 0);
            ticks.Add([(x, Bottom), (x, Bottom + 3)]);
            Text(x, Bottom + 15, "middle", UnitFormat.Text(at, "0.##"));
        }
        svg.Append("</g>\n");
        svg.Append($"<path stroke=\"{Quiet}\" d=\"{string.Concat(ticks.Select(t => Svg.Path(t)))}\"/>\n");

        void Text(double x, double y, string anchor, string text) => svg.Append($"<text x=\"{Svg.N(x)}\" y=\"{Svg.N(y)}\" text-anchor=\"{anchor}\">{text}</text>");
    }

    private void ReferenceLine(StringBuilder svg, LineReport line, double length)
    {
        if (line.OffsetMm.Value is not { } offset || line.AngleDeg.Value is not { } angle) return;
        double rise = Math.Tan(Math.PI * angle / 180) * length / 2;
        if (Sign(line) < 0) rise = -rise;
        Stroke(svg, [At(0, offset - rise), At(length, offset + rise)], Ink, 1, "stroke-opacity=\"0.65\" stroke-dasharray=\"2 3\"");
    }

    private static void Stroke(StringBuilder svg, IEnumerable<(double X, double Y)> points, string colour, double width, string more) =>
        svg.Append($"<path fill=\"none\" stroke=\"{colour}\" stroke-width=\"{Svg.N(width)}\" {more} d=\"{Svg.Path(points)}\"/>\n");

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
        double all = lengthMm / units.MmPerUnit;
        foreach (double step in new[] { 0.25, 0.5, 1, 2, 5, 10, 20, 25, 50, 100, 200, 500 })
            if (all / step <= 9) return step;
        return 1000;
    }

    /// <summary>Place in the drawing: as in the block's frame, a deviation to the plus side is drawn downwards.</summary>
    private (double X, double Y) At(double alongMm, double deviationMm) =>
        (Left + (Right - Left) * alongMm / lengthMm, (Top + Bottom) / 2 + (Bottom - Top) / 2 * Math.Clamp(deviationMm / limitMm, -1, 1));
}
