using System.Text;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Reporting.Pictures;
using SkiaSharp;

namespace Analyzer.Reporting.Tests;

public sealed class ReportWriterTests
{

    [Fact]
    public void Render_OfMeasuredBlock_GivesTheWholeSet()
    {
        AccuracyReport report = SampleReport.Make();
        ReportFiles files = ReportWriter.Render(report, SampleReport.Picture(report), ReportOptions.Default);
        Assert.Equal(ReportFiles.AllNames.Order(), files.Files.Keys.Order());
        AccuracyReport back = ReportJson.Read(Encoding.UTF8.GetString(files.Files[ReportFiles.Json]));
        Assert.Equal(report.Lines.Select(l => (l.Id, l.Status, l.OffsetMm, l.Samples.Count)), back.Lines.Select(l => (l.Id, l.Status, l.OffsetMm, l.Samples.Count)));
        Assert.True(double.IsNaN(back.Quality.Single(q => q.Name == "glare").Value));
        if (Environment.GetEnvironmentVariable("REPORT_LOOK_FOLDER") is { Length: > 0 } look)
        {
            ReportFolder.Write(Path.Combine(look, "mm"), files);
            ReportFolder.Write(Path.Combine(look, "in"), ReportWriter.Render(report with { ExtraLines = [new([20, 30], [180, 60])] }, null, new ReportOptions { Units = ReportUnits.Inches }));
            ReportFolder.Write(Path.Combine(look, "refused"), ReportWriter.Render(SampleReport.Refused(), null, ReportOptions.Default));
        }
    }

    [Fact]
    public void Render_OfRefusedPhoto_HasNoOverlay() =>
        Assert.DoesNotContain(ReportFiles.Overlay, ReportWriter.Render(SampleReport.Refused(), null, ReportOptions.Default).Files.Keys);

    [Fact]
    public void Overlay_DrawsTheThreadWhereItWasMeasured()
    {
        AccuracyReport report = SampleReport.Make();
        LineReport line = report.Lines[0];
        using SKBitmap overlay = SKBitmap.Decode(OverlayPicture.Draw(report, null, ReportOptions.Default));
        SKColor colour = SKColor.Parse(FamilyStyle.Of(line.Family).Colour);
        // Without a picture the margin is 6 mm; the longer side is 1500 px. Another line may lie on top at a crossing.
        double scale = 1500 / (203.2 + 12);
        (double X, double Y)[] places = [.. LinePath.Pieces(line, 1).SelectMany(p => p)];
        int hits = places.Count(p => overlay.GetPixel((int)((p.X + 6) * scale), (int)((p.Y + 6) * scale)) is var at
            && Math.Abs(at.Red - colour.Red) + Math.Abs(at.Green - colour.Green) + Math.Abs(at.Blue - colour.Blue) < 120);
        Assert.True(hits > 0.85 * places.Length, $"{hits} of {places.Length}");
    }

    [Fact]
    public void LinePath_OfALineAcross_PutsPositiveDeviationBelow()
    {
        // Measuring contract: n = (sin t, cos t), y down; for t = 0 positive is down, for t = 90 it is to the right.
        var across = new LineReport { Id = "A1", Family = 0, Index = 1, FromMm = [0, 50], ToMm = [100, 50], Status = "measured", Samples = [new(10, 0.5, 0.05)] };
        Assert.Equal((10, 50.5), LinePath.Pieces(across, 1)[0][0]);
        var upward = across with { FromMm = [50, 100], ToMm = [50, 0] };
        Assert.Equal((52.5, 90), LinePath.Pieces(upward, 5)[0][0]);
    }

    [Fact]
    public void Render_OfTwoThousandCrossings_KeepsThePageWithinBounds()
    {
        IntendedGrid grid = SampleReport.Grid(spacingMm: 4.1, name: "square");
        AccuracyReport report = SampleReport.Make(grid);
        Assert.InRange(report.Intersections.Count, 2000, 2500);
        ReportFiles files = ReportWriter.Render(report, SampleReport.Picture(report), ReportOptions.Default);
        Assert.InRange(files.Files[ReportFiles.Html].Length, 100_000, 8_000_000);
    }
}
