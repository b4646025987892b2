using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using System.Xml;
using System.Xml.Linq;
using Analyzer.Core.Report;
using Analyzer.Reporting.Html;
using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting.Tests;

/// <summary>The page is read back as XML; what a reader must find is checked against the report it was made from.</summary>
public sealed class PageTests
{
    private const string Hostile = "</title><script>alert(1)</script>\" onload='x' & \u202egpj.\u0007\ud800 <img src=x>.jpg";

    private static readonly XNamespace X = "http://www.w3.org/1999/xhtml";

    private static string Html(AccuracyReport report, BlockPicture? picture = null, ReportUnits units = ReportUnits.Millimetres) =>
        ReportPage.Write(report, picture, new ReportOptions { Units = units, RepeatCommand = "measure block.jpg --size 8in --grid triangle:1in" });

    private static XDocument Parse(string html)
    {
        using var reader = XmlReader.Create(new StringReader(html), new XmlReaderSettings { DtdProcessing = DtdProcessing.Ignore });
        return XDocument.Load(reader);
    }

    private static XElement Table(XDocument page, string label) =>
        page.Descendants(X + "div").Single(d => (string?)d.Attribute("aria-label") == label).Element(X + "table")!;

    [Fact]
    public void Page_HasARowForEveryLineAndCrossing()
    {
        AccuracyReport report = SampleReport.Make();
        XDocument page = Parse(Html(report, SampleReport.Picture(report)));
        Assert.Equal(report.Lines.Select(l => l.Id), Table(page, "Every line").Element(X + "tbody")!.Elements().Select(r => r.Element(X + "th")!.Value));
        Assert.Equal(report.Intersections.Select(n => n.Id), Table(page, "Every crossing").Element(X + "tbody")!.Elements().Select(r => r.Element(X + "th")!.Value));
        Assert.Equal(report.Lines.Select(l => l.Id).Order(), page.Descendants(X + "h4").Select(h => h.Nodes().OfType<XText>().First().Value).Order());
    }

    [Fact]
    public void Page_ShowsLinesThatWereNotMeasuredWithTheirStatus()
    {
        AccuracyReport report = SampleReport.Make();
        var rows = Table(Parse(Html(report)), "Every line").Element(X + "tbody")!.Elements().ToDictionary(r => r.Element(X + "th")!.Value, r => r.Value);
        Assert.Contains("not found", rows[report.Lines.Single(l => l.Status == "not-found").Id], StringComparison.Ordinal);
        Assert.Contains("unreadable", rows[report.Lines.Single(l => l.Status == "unreadable").Id], StringComparison.Ordinal);
        Assert.Contains("seen in part", rows[report.Lines.Single(l => l.Status == "partial").Id], StringComparison.Ordinal);
    }

    [Fact]
    public void Page_WithHostileTexts_ShowsThemAsText()
    {
        AccuracyReport report = SampleReport.Make(file: Hostile) with
        {
            Reasons = [new Reason("x", Hostile, Hostile)],
            Settings = new Dictionary<string, string> { [Hostile] = Hostile },
            Software = new SoftwareInfo(Hostile),
            GridSuggestion = new GridSuggestion([], Hostile, Hostile),
        };
        report = report with { Photo = report.Photo! with { Camera = Hostile, TakenOn = Hostile } };
        string html = Html(report);
        XDocument page = Parse(html);
        Assert.Empty(page.Descendants(X + "script"));
        Assert.Empty(page.Descendants(X + "img"));
        Assert.DoesNotContain("\u202e", html, StringComparison.Ordinal);
        Assert.Contains("</title><script>alert(1)</script>", page.Root!.Element(X + "head")!.Element(X + "title")!.Value, StringComparison.Ordinal);
    }

    [Fact]
    public void Page_NeedsNoNetworkAndNoScript()
    {
        AccuracyReport report = SampleReport.Make();
        string html = Html(report, SampleReport.Picture(report));
        XDocument page = Parse(html);
        foreach (XAttribute link in page.Descendants().Attributes().Where(a => a.Name.LocalName is "href" or "src"))
            Assert.StartsWith("data:image/jpeg;base64,", link.Value, StringComparison.Ordinal);
        Assert.DoesNotMatch(@"url\((?!#)", html);
        Assert.DoesNotContain("@import", html, StringComparison.Ordinal);
        Assert.DoesNotContain(page.Descendants().Attributes(), a => a.Name.LocalName == "style" || a.Name.LocalName.StartsWith("on", StringComparison.Ordinal));
        // Content Security Policy Level 3, 6.7.3.3: the hash is over the element's text, UTF-8.
        string style = Regex.Match(html, "<style>(.*?)</style>", RegexOptions.Singleline).Groups[1].Value;
        Assert.Contains("sha256-" + Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(style))), html, StringComparison.Ordinal);
    }

    [Fact]
    public void Page_IsOrderedForAssistiveTechnology()
    {
        AccuracyReport report = SampleReport.Make();
        XDocument page = Parse(Html(report, SampleReport.Picture(report)));
        Assert.Single(page.Descendants(X + "h1"));
        int last = 0;
        foreach (XElement heading in page.Descendants().Where(e => Regex.IsMatch(e.Name.LocalName, "^h[1-6]$")))
        {
            int level = heading.Name.LocalName[1] - '0';
            Assert.True(level <= last + 1, $"heading \"{heading.Value}\" skips a level");
            last = level;
        }
        Assert.All(page.Descendants(X + "th"), th => Assert.NotNull(th.Attribute("scope")));
        Assert.All(page.Descendants(X + "table"), t => Assert.NotNull(t.Element(X + "caption")));
        Assert.All(page.Descendants(X + "svg"), svg => Assert.True((string?)svg.Attribute("aria-hidden") == "true" || svg.Attribute("aria-label")?.Value.Length > 10));
        Assert.Equal("en", (string?)page.Root!.Attribute("lang"));
    }

    [Fact]
    public void Page_OfRefusedPhoto_SaysWhyAndWhatToDo()
    {
        AccuracyReport report = SampleReport.Refused();
        XDocument page = Parse(Html(report));
        string text = page.Root!.Value;
        Assert.Equal("This photo could not be measured", page.Descendants(X + "h1").Single().Value);
        Assert.Contains(report.Reasons[0].Message, text, StringComparison.Ordinal);
        Assert.Contains(report.Reasons[0].Advice, text, StringComparison.Ordinal);
        Assert.Contains("How to take a photo that can be measured", text, StringComparison.Ordinal);
        Assert.DoesNotContain("Every line", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Page_WhereNoThreadWasSeen_StillListsEveryLine()
    {
        AccuracyReport full = SampleReport.Make();
        AccuracyReport report = full with
        {
            Lines = [.. full.Lines.Select(l => l with { Status = "unreadable", Samples = [], OffsetMm = MeasuredValue.Unknown, AngleDeg = MeasuredValue.Unknown, StraightnessRmsMm = MeasuredValue.Unknown, StraightnessTotalMm = MeasuredValue.Unknown, StitchLengthMm = null })],
            Intersections = [.. full.Intersections.Select(n => n with { StitchedMm = null, Crossings = [], RadialMm = MeasuredValue.Unknown, MissTriangleMm = null })],
            ErrorBudget = null,
        };
        XDocument page = Parse(Html(report, SampleReport.Picture(report)));
        Assert.Equal(report.Lines.Count, Table(page, "Every line").Element(X + "tbody")!.Elements().Count());
    }

    [Fact]
    public void Page_InInches_ShowsInchesOfTheSameLengths()
    {
        AccuracyReport report = SampleReport.Make();
        LineReport line = report.Lines[0];
        string Row(ReportUnits units) => Table(Parse(Html(report, null, units)), "Every line").Element(X + "tbody")!.Elements().First().Value;
        // 1 inch = 25.4 mm exactly (international yard and pound agreement, 1959).
        Assert.Contains(Math.Abs(line.OffsetMm.Value!.Value / 25.4).ToString("0.000", System.Globalization.CultureInfo.InvariantCulture), Row(ReportUnits.Inches), StringComparison.Ordinal);
        Assert.Contains(Math.Abs(line.OffsetMm.Value!.Value).ToString("0.00", System.Globalization.CultureInfo.InvariantCulture), Row(ReportUnits.Millimetres), StringComparison.Ordinal);
        Assert.Contains("8\u00a0in by 8\u00a0in", Html(report, null, ReportUnits.Inches), StringComparison.Ordinal);
        Assert.Contains("203.2\u00a0mm by 203.2\u00a0mm", Html(report), StringComparison.Ordinal);
    }

    [Fact]
    public void Uncertainty_IsPrintedAsTwiceTheStandardUncertainty()
    {
        // JCGM 100, 6.2.1: U = k·u, here k = 2.
        var units = new UnitFormat(ReportUnits.Millimetres);
        Assert.Equal("+1.24 ±\u00a00.10", units.PlusMinus(new MeasuredValue(1.24, 0.05), signed: true));
        Assert.Equal("−0.30 ±\u00a00.12", units.PlusMinus(new MeasuredValue(-0.3, 0.06), signed: true));
        Assert.Equal("0.00", units.PlusMinus(new MeasuredValue(-0.001, null), signed: true));
        // However small, it is not none (7.2.6): a thousandth of an inch or a hundredth of a millimetre.
        Assert.Equal("0.010 ±\u00a00.001", new UnitFormat(ReportUnits.Inches).PlusMinus(new MeasuredValue(0.254, 0.004)));
        Assert.Equal("0.25 ±\u00a00.01", units.PlusMinus(new MeasuredValue(0.254, 0.002)));
        Assert.Equal("0.001\u00a0in", new UnitFormat(ReportUnits.Inches).UnsureWithUnit(0.003));
        Assert.Equal("under 0.001\u00a0in", new UnitFormat(ReportUnits.Inches).PartWithUnit(0.003));
        Assert.Equal("0.001\u00a0in", new UnitFormat(ReportUnits.Inches).PartWithUnit(0.02));
        Assert.Equal("0.00\u00a0mm", units.PartWithUnit(0));
        Assert.Equal("–", units.PlusMinus(MeasuredValue.Unknown));
    }

    [Fact]
    public void FamilyColours_AgainstWhite_MeetWcagAa()
    {
        // WCAG 2.2: contrast ratio (L1 + 0.05)/(L2 + 0.05), relative luminance of sRGB; 1.4.3 asks for 4.5:1.
        foreach (string colour in FamilyStyle.All.Select(s => s.Colour).Append("#4c5563"))
            Assert.True(1.05 / (Luminance(colour) + 0.05) >= 4.5, colour);
        Assert.Equal(21, 1.05 / (Luminance("#000000") + 0.05), 1e-9);
    }

    private static double Luminance(string hex)
    {
        double Channel(int at)
        {
            double c = Convert.ToInt32(hex.Substring(at, 2), 16) / 255.0;
            return c <= 0.04045 ? c / 12.92 : Math.Pow((c + 0.055) / 1.055, 2.4);
        }
        return 0.2126 * Channel(1) + 0.7152 * Channel(3) + 0.0722 * Channel(5);
    }

    [Fact]
    public void FamilyStyles_DifferInMoreThanColour()
    {
        Assert.Equal(FamilyStyle.All.Count, FamilyStyle.All.Select(s => s.DashWord).Distinct().Count());
        Assert.Equal(FamilyStyle.All.Count, FamilyStyle.All.Select(s => s.Marker).Distinct().Count());
    }
}
