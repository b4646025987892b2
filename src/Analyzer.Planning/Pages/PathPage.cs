using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Drawing;
using Analyzer.Planning.Route;
using Analyzer.Planning.Words;

namespace Analyzer.Planning.Pages;

/// <summary>A page in which the path draws itself; it can be paused, stepped both ways and read as words. Needs no network.</summary>
public static class PathPage
{
    private static readonly JsonSerializerOptions ScriptSafe = new() { Encoder = JavaScriptEncoder.Default };

    public static string Html(BlockPlan plan)
    {
        string template = Read("path.html");
        StitchRoute route = plan.Route;
        string facts = $"{PathSheet.Plural(route.Cuts, "thread cut")}, {PathSheet.Plural(route.Pivots, "turn")}, {plan.Lengths.Say(route.DitchAgainMm)} of ditch sewn again, {plan.Lengths.SayLong(route.StitchedMm)} in all";
        return template
            .Replace("{{title}}", SvgCanvas.Escape(PathSheet.Title(plan)), StringComparison.Ordinal)
            .Replace("{{facts}}", SvgCanvas.Escape(facts), StringComparison.Ordinal)
            .Replace("{{picture}}", Picture(plan), StringComparison.Ordinal)
            .Replace("{{legend}}", Legend(plan), StringComparison.Ordinal)
            .Replace("{{steps}}", StepList(plan), StringComparison.Ordinal)
            .Replace("{{data}}", Data(plan), StringComparison.Ordinal);
    }

    internal static string Read(string name)
    {
        using Stream stream = typeof(PathPage).Assembly.GetManifestResourceStream("Analyzer.Planning.Pages." + name)
            ?? throw new InvalidOperationException($"The page {name} is not in the program.");
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }

    private static string Picture(BlockPlan plan)
    {
        BlockSize size = plan.Grid.Size;
        double unit = Math.Max(size.WidthMm, size.HeightMm) / 300, pad = 16 * unit;
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"<svg id=\"block\" xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{N(-pad)} {N(-pad)} {N(size.WidthMm + 2 * pad)} {N(size.HeightMm + 2 * pad)}\" role=\"img\" aria-label=\"The block and the path over it\">\n");
        svg.Append(CultureInfo.InvariantCulture, $"<rect x=\"0\" y=\"0\" width=\"{N(size.WidthMm)}\" height=\"{N(size.HeightMm)}\" fill=\"#fdfbf5\" stroke=\"#c9c2b4\" stroke-width=\"{N(0.8 * unit)}\"/>\n<g stroke=\"#d8d2c6\" stroke-width=\"{N(0.5 * unit)}\">\n");
        foreach (GridLine line in plan.Grid.Lines)
            svg.Append(CultureInfo.InvariantCulture, $"<line x1=\"{N(line.From.Xmm)}\" y1=\"{N(line.From.Ymm)}\" x2=\"{N(line.To.Xmm)}\" y2=\"{N(line.To.Ymm)}\"/>\n");
        svg.Append("</g>\n<g id=\"sewn\" fill=\"none\" stroke-linecap=\"butt\"></g>\n<g id=\"needle\"></g>\n</svg>");
        return svg.ToString();
    }

    private static string Legend(BlockPlan plan)
    {
        var html = new StringBuilder("<ul class=\"legend\">");
        void Entry(string color, string dash, string text) => html.Append(CultureInfo.InvariantCulture,
            $"<li><svg width=\"44\" height=\"10\" aria-hidden=\"true\"><line x1=\"0\" y1=\"5\" x2=\"44\" y2=\"5\" stroke=\"{color}\" stroke-width=\"3\" stroke-dasharray=\"{dash}\"/></svg>{SvgCanvas.Escape(text)}</li>");
        for (int f = 0; f < plan.Grid.Families.Count; f++)
        {
            FamilyStyle style = FamilyStyle.Of(f);
            Entry(style.Color, string.Join(' ', style.Dash.Select(d => N(d * 3))), $"{IntendedGrid.FamilyLetter(f)}: {PathSheet.Plural(plan.Grid.Lines.Count(l => l.Family == f), "line")}, {RouteWords.Family(plan.Grid.Families[f])}");
        }
        if (plan.Route.DitchMm > 0) Entry(FamilyStyle.Ditch, "", "ditch");
        if (plan.Route.DitchAgainMm > 0) Entry(FamilyStyle.Again, "3 2", "over ditch already stitched");
        return html.Append("</ul>").ToString();
    }

    private static string StepList(BlockPlan plan)
    {
        var html = new StringBuilder("<ol id=\"steps\">\n");
        foreach (string text in plan.StepTexts)
            html.Append("<li><button type=\"button\">").Append(SvgCanvas.Escape(text)).Append("</button></li>\n");
        return html.Append("</ol>").ToString();
    }

    /// <summary>The steps as data for the page's script: kind, colour, dashes, points, length.</summary>
    private static string Data(BlockPlan plan)
    {
        BlockSize size = plan.Grid.Size;
        double unit = Math.Max(size.WidthMm, size.HeightMm) / 300;
        var steps = plan.Route.Steps.Select(step =>
        {
            FamilyStyle? style = step.LineId is { } id ? FamilyStyle.Of(plan.Grid.Line(id).Family) : null;
            string color = style?.Color ?? (step.Kind == StepKind.Ditch ? FamilyStyle.Ditch : FamilyStyle.Again);
            double[] dash = style?.Dash ?? (step.Kind == StepKind.DitchAgain ? [0.9, 0.7] : []);
            return new
            {
                kind = PlanWriter.Code(step.Kind),
                color,
                dash = dash.Select(d => Math.Round(d * 2.2 * unit, 3)),
                points = Points(plan, step, unit).Select(p => new[] { Math.Round(p.X, 3), Math.Round(p.Y, 3) }),
                length = Math.Round(step.LengthMm, 3),
            };
        });
        return JsonSerializer.Serialize(new { unit = Math.Round(unit, 4), steps }, ScriptSafe);
    }

    /// <summary>Second passes run a little outside the ditch so that both can be seen.</summary>
    private static IEnumerable<(double X, double Y)> Points(BlockPlan plan, RouteStep step, double unit)
    {
        if (step.Kind != StepKind.DitchAgain) return step.Points.Select(p => (p.Xmm, p.Ymm));
        double off = 4.5 * unit, w = plan.Grid.Size.WidthMm, h = plan.Grid.Size.HeightMm;
        double X(BlockPoint p) => p.Xmm < 1e-6 ? -off : p.Xmm > w - 1e-6 ? w + off : p.Xmm;
        double Y(BlockPoint p) => p.Ymm < 1e-6 ? -off : p.Ymm > h - 1e-6 ? h + off : p.Ymm;
        var between = new List<(double, double)> { (step.From.Xmm, step.From.Ymm) };
        for (int i = 0; i < step.Points.Count; i++)
        {
            BlockPoint p = step.Points[i];
            // At its first and last point the travel leaves and meets the ditch straight across.
            BlockPoint q = step.Points[i == 0 ? 1 : i - 1];
            bool upright = Math.Abs(p.Xmm - q.Xmm) < 1e-6, end = i == 0 || i == step.Points.Count - 1;
            between.Add(end ? (upright ? X(p) : p.Xmm, upright ? p.Ymm : Y(p)) : (X(p), Y(p)));
        }
        between.Add((step.To.Xmm, step.To.Ymm));
        return between;
    }

    private static string N(double value) => Math.Round(value, 3).ToString("0.###", CultureInfo.InvariantCulture);
}
