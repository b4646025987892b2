using Analyzer.Core.Report;
using Analyzer.Reporting.Figures;
using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting.Html;

/// <summary>The drawings: block true and exaggerated, causes, wobble per line, crossings and histogram.</summary>
internal static class FigureSections
{
    private const double Exaggeration = 5;

    public static void Block(HtmlText html, AccuracyReport report, BlockPicture? picture, UnitFormat units)
    {
        string size = $"{units.Long(report.Block!.WidthMm)} by {units.Long(report.Block.HeightMm)}";
        html.Raw("<section>\n<h2>The block</h2>\n<div class=\"pair\">\n<figure>\n");
        html.Raw(BlockFigure.Draw(report, picture, units, 1, $"The block, {size}, seen straight from above, with the intended lines dashed and the stitched lines solid."));
        html.Raw("<figcaption>As stitched: the photo seen straight from above, ").Text(size).Raw(" ditch to ditch.</figcaption>\n</figure>\n<figure>\n");
        html.Raw(BlockFigure.Draw(report, null, units, Exaggeration, "The same lines with every deviation from the intended line drawn five times as large."));
        html.Raw("<figcaption>The same with every deviation drawn 5 times as large.</figcaption>\n</figure>\n</div>\n<ul class=\"legend\">\n");
        foreach (int family in report.Lines.Select(l => l.Family).Distinct().Order())
        {
            FamilyStyle style = FamilyStyle.Of(family);
            html.Raw("<li>").Raw(LegendFigure.Swatch(family)).Element("span", $"{FamilyWords.Name(report, family)}: intended {style.DashWord}; stitched solid, {style.MarkerWord}").Raw("</li>\n");
        }
        if (report.Lines.Any(l => !LinePath.IsSeen(l))) html.Raw("<li><span>✕ after a name: no thread could be read, only the intended line is drawn</span></li>\n");
        html.Raw("</ul>\n");
        foreach (string note in report.Block.Notes) html.Element("p", note, "class=\"small\"");
        html.Raw("</section>\n");
    }

    public static void Causes(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        if (report.ErrorBudget is not { Causes.Count: > 0 } budget) return;
        html.Raw("<section>\n<h2>Where the error comes from</h2>\n<p>Shares of the squared distance from the intended lines. The bar ends at the best estimate; the whisker is the interval that holds the true share about 95 times in 100.</p>\n<ul class=\"causes\">\n");
        foreach (CauseShare cause in budget.Causes.OrderByDescending(c => c.Percent))
        {
            string name = CauseWords.Name(cause.Cause);
            html.Raw("<li>").Element("b", char.ToUpperInvariant(name[0]) + name[1..]).Raw(CauseBar.Draw(cause));
            html.Element("span", $"{UnitFormat.Text(cause.Percent, "0")} % ({UnitFormat.Text(cause.LowPercent, "0")} to {UnitFormat.Text(cause.HighPercent, "0")} %), {units.SmallWithUnit(cause.RmsMm)}", "class=\"n\"");
            html.Element("p", cause.PlainWords).Raw("</li>\n");
        }
        html.Raw("</ul>\n");
        foreach (string remark in budget.Remarks) html.Element("p", remark);
        if (budget.PlaceUMm.Count > 0 || budget.ShapeUMm is not null)
        {
            html.Raw("<p class=\"small muted\">What the photo itself adds (standard uncertainty u): ");
            html.Text(string.Join(", ", budget.PlaceUMm.OrderByDescending(p => p.Value).Select(p => $"{p.Key} {units.PartWithUnit(p.Value)}")));
            if (budget.ShapeUMm is { } shape) html.Text($"{(budget.PlaceUMm.Count > 0 ? "; " : "")}on the shape of a line {units.PartWithUnit(shape)}");
            html.Raw(".</p>\n");
        }
        html.Raw("</section>\n");
    }

    public static void Wobble(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        WobbleFigure figure = WobbleFigure.For(report, units);
        html.Raw("<section>\n<h2>Wobble of every line</h2>\n<p>Distance of the thread from its intended line (the dashed zero line), along the line from its start; + is ").Text("below a line across, or to the right of a line that runs upward")
            .Raw($". All plots have the same scales, in {units.LongName}. The grey band is ± 2u; the dotted line is the straight line that fits the stitching best; where nothing is drawn, the thread was not seen.</p>\n");
        foreach (var family in report.Lines.GroupBy(l => l.Family).OrderBy(g => g.Key))
        {
            html.Element("h3", FamilyWords.Name(report, family.Key)).Raw("<div class=\"strips\">\n");
            foreach (LineReport line in family) Strip(html, line, figure, units);
            html.Raw("</div>\n");
        }
        html.Raw("</section>\n");
    }

    private static void Strip(HtmlText html, LineReport line, WobbleFigure figure, UnitFormat units)
    {
        string right = line.Samples.Count == 0
            ? StatusWords.Of(line)
            : $"wobble {units.PlusMinus(line.StraightnessTotalMm)} {units.Name}{(line.Status == "partial" ? ", seen in part" : "")}";
        html.Raw("<div class=\"strip\"><h4>").Text(line.Id).Element("span", right).Raw("</h4>\n");
        if (line.Samples.Count > 0) html.Raw(figure.Draw(line));
        else html.Raw("<p class=\"none\">").Text($"{StatusWords.Sentence(line)}").Raw("</p>\n");
        html.Raw("</div>\n");
    }

    public static void Spread(HtmlText html, AccuracyReport report, UnitFormat units)
    {
        html.Raw("<section>\n<div class=\"pair\">\n<figure>\n<h2>Where the crossings went</h2>\n").Raw(CrossingMap.Draw(report, units));
        html.Raw("<figcaption>Each dot is an intended crossing; the arrow points to where the lines really cross. ");
        if (report.Intersections.Any(n => n.Crossings.Count == 3)) html.Raw("Where three lines should meet in one point, the shaded triangle shows how they miss each other, at the same scale. ");
        if (report.Intersections.Any(n => n.StitchedMm is null)) html.Raw("A cross ✕ marks a crossing that could not be measured. ");
        html.Raw("</figcaption>\n</figure>\n<figure>\n<h2>How far off, how often</h2>\n").Raw(HistogramFigure.Draw(report, units));
        html.Raw($"<figcaption>All {report.Lines.Sum(l => l.Samples.Count)} measured places, one each millimetre of line; height is their share in percent. A hill beside zero means a habit to one side, a wide hill means wobble or scattered placing.</figcaption>\n</figure>\n</div>\n</section>\n");
    }
}
