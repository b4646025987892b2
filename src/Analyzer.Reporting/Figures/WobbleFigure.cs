using System.Text.RegularExpressions;
using Analyzer.Core.Report;
using Analyzer.Reporting.Html;
using Analyzer.Reporting.Pictures;
using ScottPlot;

namespace Analyzer.Reporting.Figures;

/// <summary>One line's deviation along its length, with the band of ± 2u. All lines of a report share both axes.</summary>
internal sealed partial class WobbleFigure(UnitFormat units, double lengthMm, double limitMm)
{
    private const int Width = 460, Height = 116, Left = 54, Right = 10, Top = 8, Bottom = 22;

    private static readonly Color Ink = Color.FromHex("#1d2430"), Quiet = Color.FromHex("#4c5563"), Ground = Color.FromHex("#faf8f3"), Rule = Color.FromHex("#ddd7c9"), Band = Color.FromHex("#66758a");

    /// <summary>Axes that hold every sample with its band; the limit is a round number of the chosen unit.</summary>
    public static WobbleFigure For(AccuracyReport report, UnitFormat units)
    {
        double largest = report.Lines.SelectMany(l => l.Samples).Select(s => Math.Abs(s.DeviationMm)).DefaultIfEmpty(0.5).Max();
        double longest = report.Lines.Select(LinePath.LengthMm).DefaultIfEmpty(1).Max();
        return new WobbleFigure(units, longest, Svg.NiceAbove(Math.Max(largest, 0.1) * 1.05 / units.MmPerUnit) * units.MmPerUnit);
    }

    public string Draw(LineReport line)
    {
        using var plot = new Plot();
        Axes(plot, line);
        foreach (List<LineSample> run in LinePath.Runs(line.Samples))
        {
            Coordinates[] around = [.. run.Select(s => At(s.AlongMm, s.DeviationMm + 2 * s.U)), .. Enumerable.Reverse(run).Select(s => At(s.AlongMm, s.DeviationMm - 2 * s.U))];
            ScottPlot.Plottables.Polygon band = plot.Add.Polygon(around);
            (band.FillColor, band.LineWidth) = (Band.WithAlpha(0.5), 0);
        }
        Straight(plot, At(0, 0), At(LinePath.LengthMm(line), 0), LinePattern.Dashed, Ink);
        ReferenceLine(plot, line);
        foreach (List<LineSample> run in LinePath.Runs(line.Samples))
        {
            ScottPlot.Plottables.Scatter trace = plot.Add.ScatterLine(run.Select(s => At(s.AlongMm, s.DeviationMm)).ToArray());
            (trace.LineColor, trace.LineWidth) = (Color.FromHex(FamilyStyle.Of(line.Family).Colour), 1.2f);
        }
        return Inline(plot.GetSvgXml(Width, Height), line);
    }

    /// <summary>The drawing as a part of the page: scalable, named for who cannot see it, its inner names unlike those of its neighbours.</summary>
    private string Inline(string svg, LineReport line)
    {
        string inner = svg[(svg.IndexOf('>', svg.IndexOf("<svg", StringComparison.Ordinal)) + 1)..];
        string name = HtmlText.Escape(line.Id);
        // The drawing library counts its names on from figure to figure; counted anew, the same report gives the same page.
        var numbers = new Dictionary<string, int>();
        inner = InnerName().Replace(inner, m => $"{m.Groups[1].Value}{name}-{(numbers.TryGetValue(m.Groups[2].Value, out int n) ? n : numbers[m.Groups[2].Value] = numbers.Count)}");
        return $"<svg class=\"wobble\" role=\"img\" aria-label=\"{HtmlText.Escape(Describe(line))}\" viewBox=\"0 0 {Width} {Height}\">{inner.Trim()}\n";
    }

    [GeneratedRegex("(id=\"|url\\(#|xlink:href=\"#)([A-Za-z0-9_]+)")]
    private static partial Regex InnerName();

    private string Describe(LineReport line)
    {
        LineSample worst = line.Samples.MaxBy(s => Math.Abs(s.DeviationMm))!;
        return $"Deviation of line {line.Id} along its length: from {units.Small(line.Samples.Min(s => s.DeviationMm))} to {units.SmallWithUnit(line.Samples.Max(s => s.DeviationMm))}, farthest at {units.Long(worst.AlongMm)}.";
    }

    private void Axes(Plot plot, LineReport line)
    {
        plot.FigureBackground.Color = Colors.Transparent;
        plot.DataBackground.Color = Colors.Transparent;
        plot.HideGrid();
        plot.Layout.Fixed(new PixelPadding(Left, Right, Bottom, Top));
        double limit = limitMm / units.MmPerUnit, end = LinePath.LengthMm(line) / units.MmPerUnit;
        // As in the block's frame: a deviation to the plus side is drawn downwards.
        plot.Axes.SetLimits(0, lengthMm / units.MmPerUnit, limit, -limit);
        ScottPlot.Plottables.Rectangle ground = plot.Add.Rectangle(0, end, -limit, limit);
        (ground.FillColor, ground.LineColor, ground.LineWidth) = (Ground, Rule, 1);
        plot.Axes.Left.SetTicks([-limit, 0, limit], [.. new[] { -limit, 0, limit }.Select(v => v == 0 ? "0" : (v < 0 ? "−" : "+") + UnitFormat.Text(Math.Abs(v), "0.###"))]);
        double step = Step();
        double[] ticks = [.. Enumerable.Range(0, 200).Select(k => k * step).TakeWhile(at => at <= end + 1e-6)];
        plot.Axes.Bottom.SetTicks(ticks, [.. ticks.Select(t => UnitFormat.Text(t, "0.##"))]);
        foreach (IAxis axis in new IAxis[] { plot.Axes.Left, plot.Axes.Bottom })
        {
            axis.FrameLineStyle.Width = 0;
            axis.TickLabelStyle.FontSize = 11.5f;
            axis.TickLabelStyle.ForeColor = Quiet;
            axis.MajorTickStyle.Color = Quiet;
            axis.MajorTickStyle.Length = 3;
            axis.MinorTickStyle.Length = 0;
        }
        plot.Axes.Right.IsVisible = plot.Axes.Top.IsVisible = false;
    }

    private void ReferenceLine(Plot plot, LineReport line)
    {
        if (line.OffsetMm.Value is not { } offset || line.AngleDeg.Value is not { } angle) return;
        double length = LinePath.LengthMm(line), rise = Math.Tan(Math.PI * angle / 180) * length / 2;
        if (Sign(line) < 0) rise = -rise;
        Straight(plot, At(0, offset - rise), At(length, offset + rise), LinePattern.Dotted, Ink.WithAlpha(0.65));
    }

    private static void Straight(Plot plot, Coordinates from, Coordinates to, LinePattern pattern, Color colour)
    {
        ScottPlot.Plottables.LinePlot line = plot.Add.Line(from, to);
        (line.LineColor, line.LineWidth, line.LinePattern) = (colour, 1, pattern);
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
        double all = lengthMm / units.MmPerUnit;
        foreach (double step in new[] { 0.25, 0.5, 1, 2, 5, 10, 20, 25, 50, 100, 200, 500 })
            if (all / step <= 9) return step;
        return 1000;
    }

    private Coordinates At(double alongMm, double deviationMm) => new(alongMm / units.MmPerUnit, Math.Clamp(deviationMm, -limitMm, limitMm) / units.MmPerUnit);
}
