using System.Globalization;
using System.Text;
using Analyzer.Core.Report;
using Analyzer.Reporting.Tables;

namespace Analyzer.Reporting.Tests;

/// <summary>Truth: the report itself, read back through a reader of RFC 4180's grammar.</summary>
public sealed class CsvTests
{
    private const double RoundingMm = 0.5e-4 + 1e-9;

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    [Fact]
    public void LinesCsv_ReadBack_HoldsEveryLineWithItsNumbers()
    {
        AccuracyReport report = SampleReport.Make();
        var rows = CsvReader.Read(LinesCsv.Write(report));
        Assert.Equal(report.Lines.Count, rows.Count);
        foreach ((LineReport line, Dictionary<string, string> row) in report.Lines.Zip(rows))
        {
            Assert.Equal(line.Id, row["line"]);
            Assert.Equal(line.Status, row["status"]);
            Assert.Equal(line.FromMm[0], Number(row["from_x_mm"]), RoundingMm);
            if (line.OffsetMm.Value is { } offset)
            {
                Assert.Equal(offset, Number(row["offset_mm"]), RoundingMm);
                Assert.Equal(line.OffsetMm.U!.Value, Number(row["offset_u_mm"]), RoundingMm);
                Assert.Equal(line.Samples.Max(s => Math.Abs(s.DeviationMm)), Math.Abs(Number(row["largest_deviation_mm"])), RoundingMm);
            }
            else
            {
                Assert.Equal("", row["offset_mm"]);
                Assert.Equal("", row["rms_deviation_mm"]);
            }
        }
    }

    [Fact]
    public void IntersectionsCsv_ReadBack_HoldsEveryCrossing()
    {
        AccuracyReport report = SampleReport.Make();
        var rows = CsvReader.Read(IntersectionsCsv.Write(report));
        Assert.Equal(report.Intersections.Select(n => n.Id), rows.Select(r => r["intersection"]));
        foreach ((IntersectionReport node, Dictionary<string, string> row) in report.Intersections.Zip(rows))
        {
            Assert.Equal(node.LineIds, row["lines"].Split(' '));
            if (node.StitchedMm is { } at) Assert.Equal(at[0] - node.IntendedMm[0], Number(row["error_x_mm"]), RoundingMm);
            else Assert.Equal("", row["stitched_x_mm"] + row["radial_mm"]);
        }
    }

    [Theory]
    [InlineData("=1+1", "'=1+1")]
    [InlineData("+A1", "'+A1")]
    [InlineData("-cmd", "'-cmd")]
    [InlineData("@SUM(A1)", "'@SUM(A1)")]
    [InlineData("\t=1", "'\t=1")]
    [InlineData("a, \"b\"\r\nc", "a, \"b\"\r\nc")]
    [InlineData("plain", "plain")]
    public void Cell_OfHostileText_IsQuotedAndNoFormula(string text, string expected) =>
        Assert.Equal(expected, CsvReader.Rows(new CsvText().Cell(text).Cell(-1.5).Row().ToString())[0][0]);

    [Fact]
    public void Cell_OfNegativeNumber_StaysANumber()
    {
        Assert.Equal("-1.5,0,\r\n", new CsvText().Cell(-1.5).Cell(-0.00001).Cell(double.NaN).Row().ToString());
    }

    [Fact]
    public void CsvFiles_OfRefusedPhoto_HoldOnlyTheHeading()
    {
        ReportFiles files = ReportWriter.Render(SampleReport.Refused(), null, ReportOptions.Default);
        Assert.Single(CsvReader.Rows(Encoding.UTF8.GetString(files.Files[ReportFiles.Lines])));
        Assert.Single(CsvReader.Rows(Encoding.UTF8.GetString(files.Files[ReportFiles.Intersections])));
    }
}
