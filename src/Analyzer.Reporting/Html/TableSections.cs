using Analyzer.Core.Report;
using Analyzer.Reporting.Figures;
using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting.Html;

/// <summary>The tables: families, lines, marks, crossings and photo quality. Every intended line and crossing has its row.</summary>
internal static class TableSections
{
    public static void Families(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        html.Raw("<section class=\"keep\">\n<h2>Families of lines</h2>\n");
        Open(html, "Families of lines", $"Means over the measured lines of a family, in {units.LongName} and degrees.",
            "Family", "Spacing|n", "Lines measured|n", "Mean offset|n", "Offsets scatter by|n", "Mean tilt, degrees|n", "Wobble, r.m.s.|n", "Farthest|n");
        foreach (var family in report.Lines.GroupBy(l => l.Family).OrderBy(g => g.Key))
        {
            LineReport[] seen = [.. family.Where(l => l.OffsetMm.Value is not null)];
            double[] offsets = [.. seen.Select(l => l.OffsetMm.Value!.Value)];
            double? scatter = offsets.Length > 1 ? Math.Sqrt(offsets.Sum(o => (o - offsets.Average()) * (o - offsets.Average())) / (offsets.Length - 1)) : null;
            double[] wobble = [.. seen.Select(l => l.StraightnessRmsMm.Value).OfType<double>()];
            double[] tilt = [.. seen.Select(l => l.AngleDeg.Value).OfType<double>()];
            double[] far = [.. family.SelectMany(l => l.Samples).Select(s => Math.Abs(s.DeviationMm))];
            double? spacing = report.Grid?.Families.FirstOrDefault(f => f.Family == family.Key)?.SpacingMm;
            html.Raw("<tr><th scope=\"row\">").Raw(LegendFigure.Swatch(family.Key)).Text(" " + FamilyWords.Name(report, family.Key)).Raw("</th>");
            Number(html, spacing is { } s ? units.Long(s) : UnitFormat.Unknown);
            Number(html, $"{family.Count(l => l.Status is "measured" or "partial")} of {family.Count()}");
            Number(html, offsets.Length > 0 ? units.PlusMinus(new MeasuredValue(offsets.Average(), null), signed: true) : UnitFormat.Unknown);
            Number(html, units.Small(scatter));
            Number(html, tilt.Length > 0 ? UnitFormat.Degrees(new MeasuredValue(tilt.Average(), null)) : UnitFormat.Unknown);
            Number(html, units.Small(wobble.Length > 0 ? Math.Sqrt(wobble.Average(w => w * w)) : null));
            Number(html, units.Small(far.Length > 0 ? far.Max() : null));
            html.Raw("</tr>\n");
        }
        Close(html).Raw("</section>\n");
    }

    /// <summary>Bounces at the ditch, where any could be read.</summary>
    public static void Turns(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        TurnReport[] seen = [.. report.Turns.Where(t => t.CutOffMm.Value is not null)];
        if (seen.Length == 0) return;
        html.Raw("<section>\n<h2>Turns at the ditch</h2>\n");
        html.Element("p", $"At {seen.Length} of {report.Turns.Count} turns the corner could be seen; on average it is cut off by {units.SmallWithUnit(seen.Average(t => t.CutOffMm.Value!.Value))}. A sharp corner is cut off by nothing; one taken in a curve misses its point.");
        Open(html, "Turns at the ditch", $"Lengths in {units.LongName}, ± 2u. Cut off: from where the two straight runs would meet to the thread. Radius: of the circle that would round the corner so.", ["Lines", "Cut off|n", "Radius|n"]);
        foreach (TurnReport turn in seen)
        {
            html.Raw("<tr>").Element("th", string.Join(" and ", turn.LineIds), "scope=\"row\"");
            Number(html, units.PlusMinus(turn.CutOffMm));
            Number(html, units.PlusMinus(turn.RadiusMm));
            html.Raw("</tr>\n");
        }
        Close(html).Raw("</section>\n");
    }

    public static void Lines(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        bool stitches = report.Lines.Any(l => l.StitchLengthMm?.Value is not null);
        html.Raw("<section>\n<h2>Every line</h2>\n");
        bool ends = report.Lines.Any(l => l.StartOvershootMm?.Value is not null || l.EndOvershootMm?.Value is not null);
        string[] columns = ["Line", "Status", "Seen|n", "Offset|n", "Tilt, degrees|n", "Wobble, peak to valley|n", "Wobble, r.m.s.|n", "Farthest|n"];
        if (ends) columns = [.. columns, "Start beyond ditch|n", "End beyond ditch|n"];
        if (stitches) columns = [.. columns, "Stitch length|n", "Stitches scatter by|n", "Stitches per inch|n"];
        string more = ends ? " Beyond the ditch is +, short of it is −; where thread and ground cannot be told apart there, no number is given." : "";
        Open(html, "Every line", $"Lengths in {units.LongName}. Values are given ± 2u (k = 2): the true value lies inside about 95 times in 100.{more}", columns);
        foreach (LineReport line in report.Lines)
        {
            html.Raw("<tr>").Element("th", line.Id, "scope=\"row\"").Element("td", StatusWords.Of(line));
            Number(html, UnitFormat.Text(100 * line.Coverage, "0") + " %");
            Number(html, units.PlusMinus(line.OffsetMm, signed: true));
            Number(html, UnitFormat.Degrees(line.AngleDeg));
            Number(html, units.PlusMinus(line.StraightnessTotalMm));
            Number(html, units.PlusMinus(line.StraightnessRmsMm));
            Number(html, units.Small(line.Samples.Count > 0 ? line.Samples.Max(s => Math.Abs(s.DeviationMm)) : null));
            if (ends)
            {
                Number(html, units.PlusMinus(line.StartOvershootMm, signed: true));
                Number(html, units.PlusMinus(line.EndOvershootMm, signed: true));
            }
            if (stitches)
            {
                Number(html, units.PlusMinus(line.StitchLengthMm));
                Number(html, units.Small(line.StitchLengthSpreadMm));
                Number(html, line.StitchesPerInch?.Value is { } spi ? UnitFormat.Text(spi, "0.0") : UnitFormat.Unknown);
            }
            html.Raw("</tr>\n");
        }
        Close(html);
        LineReport[] noted = [.. report.Lines.Where(l => l.Notes.Count > 0)];
        if (noted.Length > 0)
        {
            html.Raw("<h3>Remarks</h3>\n<dl>\n");
            foreach (LineReport line in noted) html.Element("dt", line.Id).Element("dd", string.Join(" ", line.Notes));
            html.Raw("</dl>\n");
        }
        html.Raw("</section>\n");
    }

    public static void Marks(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        if (report.Marks.Count == 0) return;
        html.Raw("<section>\n<h2>Drawn marks</h2>\n");
        if (report.Marking is { } marking) html.Element("p", marking.PlainWords);
        Open(html, "Drawn marks", $"Marking error is the drawn mark against the grid; stitching error is the thread against the mark. In {units.LongName}, ± 2u (k = 2).",
            "Line", "Mark's offset|n", "Mark's tilt, degrees|n", "Mark, r.m.s. from the grid|n", "Thread against mark, mean|n", "Thread against mark, r.m.s.|n");
        foreach (MarkReport mark in report.Marks)
        {
            html.Raw("<tr>").Element("th", mark.LineId, "scope=\"row\"");
            Number(html, units.PlusMinus(mark.MarkOffsetMm, signed: true));
            Number(html, UnitFormat.Degrees(mark.MarkAngleDeg));
            Number(html, units.Small(mark.MarkRmsMm));
            Number(html, units.PlusMinus(mark.StitchAgainstMarkMm, signed: true));
            Number(html, units.Small(mark.StitchAgainstMarkRmsMm));
            html.Raw("</tr>\n");
        }
        Close(html).Raw("</section>\n");
    }

    public static void Crossings(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        if (report.Intersections.Count == 0) return;
        bool triangles = report.Intersections.Any(n => n.LineIds.Count > 2);
        html.Raw("<section>\n<h2>Every crossing</h2>\n<details>\n").Element("summary", $"Show all {report.Intersections.Count} crossings");
        string[] columns = ["Crossing", "Status", "To the right|n", "Downward|n", "Distance|n"];
        Open(html, "Every crossing", $"Stitched against intended place, in {units.LongName}, ± 2u (k = 2).", triangles ? [.. columns, "Miss triangle|n"] : columns);
        foreach (IntersectionReport node in report.Intersections)
        {
            html.Raw("<tr>").Element("th", node.Id, "scope=\"row\"").Element("td", node.StitchedMm is null ? "not measured" : "measured");
            Number(html, units.PlusMinus(new MeasuredValue(node.StitchedMm?[0] - node.IntendedMm[0], null), signed: true));
            Number(html, units.PlusMinus(new MeasuredValue(node.StitchedMm?[1] - node.IntendedMm[1], null), signed: true));
            Number(html, units.PlusMinus(node.RadialMm));
            if (triangles) Number(html, units.PlusMinus(node.MissTriangleMm));
            html.Raw("</tr>\n");
        }
        Close(html).Raw("</details>\n</section>\n");
    }

    public static void Quality(HtmlText html, AccuracyReport report)
    {
        if (report.Quality.Count == 0) return;
        html.Raw("<section class=\"keep\">\n<h2>The photo</h2>\n");
        Open(html, "Photo quality", "How well the photo serves for measuring.", "Check", "Result", "Value|n", "Good is|n", "What it means");
        foreach (QualityCheck check in report.Quality)
        {
            string sign = check.Level switch { "good" => "✓ good", "fair" => "△ fair", "poor" => "✕ poor", _ => check.Level };
            html.Raw("<tr>").Element("th", check.Name, "scope=\"row\"").Element("td", sign);
            Number(html, double.IsFinite(check.Value) ? UnitFormat.Text(check.Value, "0.##") + " " + check.Unit : UnitFormat.Unknown);
            Number(html, UnitFormat.Text(check.Limit, "0.##") + " " + check.Unit);
            html.Element("td", check.Advice).Raw("</tr>\n");
        }
        Close(html).Raw("</section>\n");
    }

    private static void Open(HtmlText html, string label, string caption, params string[] columns)
    {
        html.Raw("<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"").Text(label).Raw("\">\n<table>\n").Element("caption", caption).Raw("<thead><tr>");
        foreach (string column in columns)
            html.Element("th", column.Split('|')[0], column.EndsWith("|n", StringComparison.Ordinal) ? "scope=\"col\" class=\"n\"" : "scope=\"col\"");
        html.Raw("</tr></thead>\n<tbody>\n");
    }

    private static HtmlText Close(HtmlText html) => html.Raw("</tbody>\n</table>\n</div>\n");

    private static void Number(HtmlText html, string text) => html.Raw("<td class=\"n\">").Text(text).Raw("</td>");
}
