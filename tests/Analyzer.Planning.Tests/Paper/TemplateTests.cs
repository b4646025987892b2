using System.Globalization;
using System.Xml.Linq;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Drawing;
using Analyzer.Planning.Paper;
using UglyToad.PdfPig.Content;
using UglyToad.PdfPig.Core;
using UglyToad.PdfPig.Graphics;
using PdfDocument = UglyToad.PdfPig.PdfDocument;

namespace Analyzer.Planning.Tests.Paper;

/// <summary>The template read back with PdfPig, an independent PDF library, and measured in points (external checks K2, K3).</summary>
public sealed class TemplateTests
{
    /// <summary>Half a thousandth of a millimetre: the file holds four decimals of a point.</summary>
    private const double TolerancePoints = 0.0015;

    private static BlockPlan Plan(string name, double spacingMm, double widthMm, double heightMm)
    {
        var size = new BlockSize(widthMm, heightMm);
        return BlockPlan.Make(new IntendedGrid(size, NamedGrids.Families(name, new(spacingMm), size)!), new PlanSettings { GridName = name });
    }

    public static TheoryData<string, bool, bool> Sheets => new()
    {
        { "A4", false, false }, { "A4", true, false }, { "Letter", false, true }, { "Letter", true, true },
    };

    [Theory]
    [MemberData(nameof(Sheets))]
    public void EveryPage_CarriesTrueBarsAndCard(string paper, bool landscape, bool marks)
    {
        (byte[] pdf, PaperSize sheet) = Make(paper, landscape, marks, out _);
        using PdfDocument document = PdfDocument.Open(pdf);
        foreach (Page page in document.GetPages())
        {
            Assert.Equal(sheet.WidthMm / 25.4 * 72, page.Width, TolerancePoints);
            Assert.Equal(sheet.HeightMm / 25.4 * 72, page.Height, TolerancePoints);
            List<(PdfPoint A, PdfPoint B)> lines = LinesOf(page);
            PdfRectangle card = Assert.Single(Boxes(page), box => Math.Abs(box.Width - 242.646) < 0.002 && Math.Abs(box.Height - 153.014) < 0.002);
            AssertPrintable(card.BottomLeft, card.TopRight, page);
            foreach (double length in (double[])[283.4646, 288])
            {
                (PdfPoint a, PdfPoint b) = Assert.Single(lines, l => Math.Abs(l.A.Y - l.B.Y) < 1e-6 && Math.Abs(Math.Abs(l.B.X - l.A.X) - length) < TolerancePoints);
                AssertPrintable(a, b, page);
                Assert.False(a.Y > card.Bottom && a.Y < card.Top && a.X < card.Right && b.X > card.Left, "the bar crosses the card");
                // End ticks stand exactly on the bar's ends.
                foreach (PdfPoint end in (PdfPoint[])[a, b])
                    Assert.Contains(lines, t => Math.Abs(t.A.X - end.X) < TolerancePoints && Math.Abs(t.B.X - end.X) < TolerancePoints && t.A.Y > end.Y && t.B.Y < end.Y);
            }
            Assert.Contains($"page {page.Number} of {document.NumberOfPages}", page.Text, StringComparison.Ordinal);
        }
    }

    /// <summary>Every drawn line, moved by its tile's place on the page, is the intended line to a hundredth of a millimetre.</summary>
    [Theory]
    [MemberData(nameof(Sheets))]
    public void EveryLine_LiesAtItsTruePlace(string paper, bool landscape, bool marks)
    {
        (byte[] pdf, PaperSize sheet) = Make(paper, landscape, marks, out BlockPlan plan);
        var layout = new TemplateLayout(plan.Grid.Size, new TemplateSettings { Paper = sheet, CornerMarks = marks });
        using PdfDocument document = PdfDocument.Open(pdf);
        Assert.Equal(layout.Tiles.Count, document.NumberOfPages);
        for (int i = 0; i < layout.Tiles.Count; i++)
        {
            TemplateTile tile = layout.Tiles[i];
            Page page = document.GetPage(i + 1);
            BlockPoint ToBlock(PdfPoint p) => new(p.X / 72 * 25.4 - tile.PageX + tile.LeftMm, (page.Height - p.Y) / 72 * 25.4 - tile.PageY + tile.TopMm);
            var drawn = LinesOf(page).Select(l => (ToBlock(l.A), ToBlock(l.B))).ToList();
            foreach (GridLine line in plan.Grid.Lines)
                Assert.Contains(drawn, d => d.Item1.DistanceTo(line.From) < 0.01 && d.Item2.DistanceTo(line.To) < 0.01);
        }
    }

    /// <summary>The tiles cover the whole block, overlap by the stated width, and fit the printable page beside the panel.</summary>
    [Theory]
    [InlineData(304.8, 304.8)]
    [InlineData(150, 120)]
    [InlineData(1200, 700)]
    [InlineData(20, 20)]
    public void Tiles_CoverTheBlockAndOverlap(double widthMm, double heightMm)
    {
        foreach (PaperSize paper in (PaperSize[])[PaperSize.A4, PaperSize.Letter, PaperSize.A4.Landscape(), PaperSize.Letter.Landscape()])
        {
            var layout = new TemplateLayout(new BlockSize(widthMm, heightMm), new TemplateSettings { Paper = paper });
            Assert.True(layout.Tiles.Min(t => t.LeftMm) < 0 && layout.Tiles.Max(t => t.LeftMm + t.WidthMm) > widthMm);
            Assert.True(layout.Tiles.Min(t => t.TopMm) < 0 && layout.Tiles.Max(t => t.TopMm + t.HeightMm) > heightMm);
            foreach (TemplateTile t in layout.Tiles)
            {
                Assert.True(t.PageX >= TemplateLayout.EdgeMm - 1e-9 && t.PageY >= TemplateLayout.EdgeMm - 1e-9);
                Assert.True(paper.IsLandscape ? t.PageX + t.WidthMm < layout.PanelX : t.PageY + t.HeightMm < layout.PanelY);
                foreach (TemplateTile right in layout.Tiles.Where(o => o.Row == t.Row && o.Column == t.Column + 1))
                    Assert.Equal(TemplateLayout.OverlapMm, t.LeftMm + t.WidthMm - right.LeftMm, 9);
            }
        }
    }

    /// <summary>A cross of the same letter stands at the same place of the block on both its pages.</summary>
    [Fact]
    public void Crosses_OfOneLetter_MeetWhenPagesAreLaidTogether()
    {
        BlockPlan plan = Plan("triangle", 25.4, 304.8, 304.8);
        var settings = new TemplateSettings();
        var layout = new TemplateLayout(plan.Grid.Size, settings);
        using PdfDocument document = PdfDocument.Open(TemplateSheet.Pdf(plan, settings));
        var places = new Dictionary<string, List<BlockPoint>>();
        for (int i = 0; i < layout.Tiles.Count; i++)
        {
            TemplateTile tile = layout.Tiles[i];
            Page page = document.GetPage(i + 1);
            foreach (Word word in page.GetWords().Where(w => w.Text.Length == 1 && char.IsUpper(w.Text[0])))
            {
                PdfPoint p = word.Letters[0].StartBaseLine;
                var at = new BlockPoint(p.X / 72 * 25.4 - tile.PageX + tile.LeftMm, (page.Height - p.Y) / 72 * 25.4 - tile.PageY + tile.TopMm);
                if (!places.TryGetValue(word.Text, out List<BlockPoint>? list)) places[word.Text] = list = [];
                list.Add(at);
            }
        }
        Assert.Equal(8, places.Count);
        Assert.All(places.Values, list =>
        {
            Assert.Equal(2, list.Count);
            Assert.True(list[0].DistanceTo(list[1]) < 0.01);
        });
    }

    /// <summary>SVG: 1 user unit is 1 mm (width in mm equals the view box), and the lines lie where they should.</summary>
    [Fact]
    public void Svg_IsTrueToScale()
    {
        BlockPlan plan = Plan("triangle45", 30, 200, 150);
        XElement svg = XDocument.Parse(TemplateSheet.Svg(plan, new TemplateSettings { LineWeightMm = 0.6 })).Root!;
        string[] box = svg.Attribute("viewBox")!.Value.Split(' ');
        Assert.Equal(box[2] + "mm", svg.Attribute("width")!.Value);
        Assert.Equal(box[3] + "mm", svg.Attribute("height")!.Value);
        var paths = svg.Descendants().Where(e => e.Name.LocalName == "path").ToList();
        foreach (GridLine line in plan.Grid.Lines)
            Assert.Contains(paths, p =>
            {
                double[] n = [.. p.Attribute("d")!.Value.Split(' ', 'M', 'L', 'Z').Where(t => t.Length > 0).Select(t => double.Parse(t, CultureInfo.InvariantCulture))];
                return n.Length == 4 && p.Attribute("stroke-width")!.Value == "0.6"
                    && new BlockPoint(n[0] - TemplateLayout.PadMm, n[1] - TemplateLayout.PadMm).DistanceTo(line.From) < 0.001
                    && new BlockPoint(n[2] - TemplateLayout.PadMm, n[3] - TemplateLayout.PadMm).DistanceTo(line.To) < 0.001;
            });
        Assert.Contains(svg.Descendants().Where(e => e.Name.LocalName == "rect"), r => r.Attribute("width")!.Value == "85.6" && r.Attribute("height")!.Value == "53.98");
    }

    private static (byte[] Pdf, PaperSize Paper) Make(string paper, bool landscape, bool marks, out BlockPlan plan)
    {
        plan = Plan("triangle", 25.4, 304.8, 304.8);
        PaperSize sheet = paper == "A4" ? PaperSize.A4 : PaperSize.Letter;
        if (landscape) sheet = sheet.Landscape();
        return (TemplateSheet.Pdf(plan, new TemplateSettings { Paper = sheet, CornerMarks = marks }), sheet);
    }

    private static IEnumerable<PdfRectangle> Boxes(Page page) => page.Paths.Select(p => p.GetBoundingRectangle()).OfType<PdfRectangle>();

    private static void AssertPrintable(PdfPoint a, PdfPoint b, Page page)
    {
        double edge = (TemplateLayout.EdgeMm - 0.01) / 25.4 * 72;
        Assert.InRange(Math.Min(a.X, b.X), edge, page.Width - edge);
        Assert.InRange(Math.Max(a.X, b.X), edge, page.Width - edge);
        Assert.InRange(Math.Min(a.Y, b.Y), edge, page.Height - edge);
        Assert.InRange(Math.Max(a.Y, b.Y), edge, page.Height - edge);
    }

    /// <summary>All straight single lines of a page.</summary>
    private static List<(PdfPoint A, PdfPoint B)> LinesOf(Page page)
    {
        var lines = new List<(PdfPoint, PdfPoint)>();
        foreach (PdfPath path in page.Paths)
            foreach (PdfSubpath part in path)
            {
                if (part.Commands is [PdfSubpath.Move move, PdfSubpath.Line line]) lines.Add((move.Location, line.To));
            }
        return lines;
    }
}
