using Analyzer.Core.Pattern;
using Analyzer.Planning.Paper;
using Analyzer.Planning.Route;
using Analyzer.Planning.Words;

namespace Analyzer.Planning.Drawing;

/// <summary>The path drawing as a sheet with heading and legend (SVG), and as a PDF whose further pages hold the steps in words.</summary>
public static class PathSheet
{
    private const double Edge = 12;

    public static string Svg(BlockPlan plan, PaperSize paper)
    {
        var canvas = new SvgCanvas(paper.WidthMm, paper.HeightMm);
        canvas.Rect(0, 0, paper.WidthMm, paper.HeightMm, null, "#ffffff");
        FirstPage(canvas, plan, paper);
        return canvas.ToDocument(Title(plan));
    }

    /// <summary>The drawing alone, for a page of another kind.</summary>
    public static string SvgElement(BlockPlan plan)
    {
        BlockSize size = plan.Grid.Size;
        double width = 186, height = 2 * PathDrawing.MarginMm + (width - 2 * PathDrawing.MarginMm) * Math.Min(size.HeightMm / size.WidthMm, 1.25);
        var canvas = new SvgCanvas(width, height);
        PathDrawing.Draw(canvas, plan, 0, 0, width, height);
        return canvas.ToElement(Title(plan));
    }

    public static byte[] Pdf(BlockPlan plan, PaperSize paper)
    {
        var document = new PdfDocument(Title(plan));
        FirstPage(document.AddPage(paper.WidthMm, paper.HeightMm), plan, paper);
        StepPages(document, plan, paper);
        return document.ToBytes();
    }

    public static string Title(BlockPlan plan) => $"Travel path, {plan.Title}";

    private static void FirstPage(Canvas canvas, BlockPlan plan, PaperSize paper)
    {
        LengthWords lengths = plan.Lengths;
        StitchRoute route = plan.Route;
        canvas.Text(Edge, 19, Title(plan), 6.2, "#111111", bold: true);
        string facts = $"Start: {new RouteWords(plan.Grid, lengths).Place(route.StartPoint)}. {Plural(route.Cuts, "thread cut")}, {Plural(route.Pivots, "turn")}, {lengths.Say(route.DitchAgainMm)} of ditch sewn again, {lengths.SayLong(route.StitchedMm)} in all. Order: {RouteWords.Rule(route.Rule)}.";
        double y = canvas.Paragraph(Edge, 25.5, paper.WidthMm - 2 * Edge, facts, 3.3, "#444444");
        double legend = LegendHeight(plan, paper.WidthMm), table = 5 * 4.6 + 10;
        double width = paper.WidthMm - 2, room = paper.HeightMm - y - legend - table - 12;
        double height = Math.Min(room, PathDrawing.HeightFor(plan, width));
        double spare = Math.Min(room - height, 16);
        PathDrawing.Draw(canvas, plan, 1, y - 3 + spare / 3, width, height);
        double below = y + height + spare * 2 / 3 + 5;
        Legend(canvas, plan, below, paper.WidthMm);
        Corners(canvas, plan, below + legend + 6);
    }

    /// <summary>The same order from each of the four corners.</summary>
    private static void Corners(Canvas canvas, BlockPlan plan, double y)
    {
        double[] columns = [Edge, Edge + 62, Edge + 88, Edge + 114, Edge + 150, Edge + 186];
        string[] heads = ["The same order from each corner", "cuts", "turns", "bounces", "ditch again", "in all"];
        for (int c = 0; c < heads.Length; c++) canvas.Text(columns[c], y, heads[c], 3.1, "#555555", c == 0 ? Anchor.Start : Anchor.End);
        canvas.Line(Edge, y + 1.5, Edge + 186, y + 1.5, new Pen("#999999", 0.2));
        foreach (StitchRoute route in plan.Routes.Where(r => r.Rule == plan.Route.Rule))
        {
            y += 4.8;
            bool chosen = route.Start == plan.Route.Start;
            string[] cells =
            [
                RouteWords.Corner(route.Start) + (chosen ? " (drawn here)" : ""), LengthWords.Number(route.Cuts), LengthWords.Number(route.Pivots),
                LengthWords.Number(route.Bounces), plan.Lengths.Say(route.DitchAgainMm), plan.Lengths.SayLong(route.StitchedMm),
            ];
            for (int c = 0; c < cells.Length; c++) canvas.Text(columns[c], y, cells[c], 3.1, "#222222", c == 0 ? Anchor.Start : Anchor.End, bold: chosen);
        }
    }

    /// <summary>Legend entries: what is drawn beside them, and their words.</summary>
    private static List<(Action<Canvas, double, double> Sign, string Text)> LegendEntries(BlockPlan plan)
    {
        static Action<Canvas, double, double> Stroke(Pen pen) => (canvas, x, y) => canvas.Line(x, y, x + 17, y, pen);
        var entries = new List<(Action<Canvas, double, double>, string)>();
        for (int f = 0; f < plan.Grid.Families.Count; f++)
        {
            LineFamily family = plan.Grid.Families[f];
            int count = plan.Grid.Lines.Count(l => l.Family == f);
            entries.Add((Stroke(FamilyStyle.Of(f).Pen(0.6)), $"{IntendedGrid.FamilyLetter(f)}: {Plural(count, "line")}, {RouteWords.Family(family)}, {plan.Lengths.Say(family.SpacingMm)} apart"));
        }
        if (plan.Route.DitchMm > 0) entries.Add((Stroke(new Pen(FamilyStyle.Ditch, 0.6)), "ditch, sewn for the first time"));
        if (plan.Route.DitchAgainMm > 0) entries.Add((Stroke(new Pen(FamilyStyle.Again, 0.6, 0.9, 0.7)), "travel over ditch already stitched"));
        if (plan.Route.Cuts > 0)
            entries.Add(((canvas, x, y) =>
            {
                canvas.Line(x + 7, y - 1, x + 9, y + 1, new Pen("#a01020", 0.4));
                canvas.Line(x + 7, y + 1, x + 9, y - 1, new Pen("#a01020", 0.4));
            }, "thread cut, or begun again"));
        entries.Add(((canvas, x, y) =>
        {
            canvas.Circle(x + 4, y, 2.1, new Pen("#333333", 0.25), "#ffffff");
            canvas.Text(x + 4, y + 0.9, "7", 2.6, "#333333", Anchor.Middle, bold: true);
            canvas.ArrowHead(x + 12, y, 1, 0, 3, "#333333");
        }, "step 7 begins here and goes this way"));
        return entries;
    }

    /// <summary>Two columns where every entry is short enough for half the sheet, else one.</summary>
    private static int LegendColumns(BlockPlan plan, double width) =>
        LegendEntries(plan).Any(e => Letters.Width(e.Text, 3.3) > (width - 2 * Edge) / 2 - 22) ? 1 : 2;

    private static double LegendHeight(BlockPlan plan, double width) =>
        5.6 * Math.Ceiling(LegendEntries(plan).Count / (double)LegendColumns(plan, width));

    private static void Legend(Canvas canvas, BlockPlan plan, double y, double width)
    {
        canvas.Line(Edge, y - 5, width - Edge, y - 5, new Pen("#cccccc", 0.2));
        int columns = LegendColumns(plan, width), slot = 0;
        foreach ((Action<Canvas, double, double> sign, string text) in LegendEntries(plan))
        {
            double x = Edge + slot % columns * (width - 2 * Edge) / 2, at = y + slot / columns * 5.6;
            sign(canvas, x, at - 1.1);
            canvas.Text(x + 20, at, text, 3.3, "#333333");
            slot++;
        }
    }

    private static void StepPages(PdfDocument document, BlockPlan plan, PaperSize paper)
    {
        const double letter = 3.25, number = 8, gutter = 8;
        double column = (paper.WidthMm - 2 * Edge - gutter) / 2, bottom = paper.HeightMm - 16;
        PdfCanvas? page = null;
        double x = 0, y = bottom + 1;
        int columns = 2, pages = 0;
        for (int i = 0; i < plan.StepTexts.Count; i++)
        {
            int lines = Letters.Wrap(plan.StepTexts[i], column - number, letter).Count();
            if (y + lines * letter * 1.32 > bottom)
            {
                if (columns == 2)
                {
                    page = document.AddPage(paper.WidthMm, paper.HeightMm);
                    pages++;
                    page.Text(Edge, 19, pages == 1 ? "The steps" : "The steps, continued", 6.2, "#111111", bold: true);
                    page.Text(paper.WidthMm - Edge, paper.HeightMm - 8, $"{Title(plan)}, page {pages + 1}", 2.8, "#777777", Anchor.End);
                    columns = 0;
                }
                x = Edge + columns * (column + gutter);
                y = 29;
                columns++;
            }
            page!.Text(x + number - 2, y, (i + 1).ToString(System.Globalization.CultureInfo.InvariantCulture), letter, "#111111", Anchor.End, bold: true);
            y = page.Paragraph(x + number, y, column - number, plan.StepTexts[i], letter) + 1.3;
        }
    }

    internal static string Plural(int count, string noun) => $"{count} {noun}{(count == 1 ? "" : "s")}";
}
