using Analyzer.Core.Report;
using Analyzer.Reporting.Html;
using Analyzer.Reporting.Pictures;
using SkiaSharp;

namespace Analyzer.Reporting.Sheets;

/// <summary>The report on paper: words and picture first, then every line and crossing as a table.</summary>
public static class ReportPdf
{
    private const int PictureQuality = 88;

    /// <param name="letter">US Letter instead of A4.</param>
    public static byte[] Draw(AccuracyReport report, BlockPicture? picture, ReportOptions options, bool letter)
    {
        report = ReportSentences.In(report, options.Units == ReportUnits.Inches);
        var units = new UnitFormat(options.Units);
        string file = report.Photo?.File ?? "photo";
        using var stream = new MemoryStream();
        using (SKDocument document = SKDocument.CreatePdf(stream, new SKDocumentPdfMetadata { Title = $"Stitch accuracy report: {file}", Producer = "Stitch Accuracy Analyzer", Creation = null, Modified = null }))
        using (var pages = new PdfPages(document, letter ? 612 : 595.28f, letter ? 792 : 841.89f, $"{file} · Stitch Accuracy Analyzer {report.Software.Version}"))
        {
            Words(pages, report, units);
            if (report.Block is not null && report.Lines.Count > 0) Picture(pages, report, picture, options);
            if (report.Outcome != "not-measurable") Tables(pages, report, units);
            pages.Space(8);
            pages.Paragraph(TextSections.Safety, 8.5f, quiet: true);
        }
        return stream.ToArray();
    }

    private static void Words(PdfPages pages, AccuracyReport report, UnitFormat units)
    {
        pages.Paragraph("Stitch accuracy report · " + (report.Photo?.File ?? "photo") + (report.Photo?.TakenOn is { Length: > 0 } taken ? " · taken " + TakenOnWords.Of(taken) : ""), 9, quiet: true);
        if (report.Outcome == "not-measurable")
        {
            pages.Paragraph("This photo could not be measured", 18, bold: true);
            Reasons(pages, report);
            return;
        }
        Headline words = Headline.Of(report, units);
        pages.Paragraph(words.Title, 18, bold: true);
        pages.Paragraph($"{report.Lines.Count(l => l.Status is "measured" or "partial")} of {report.Lines.Count} intended lines measured. " + string.Join(" ", words.Sentences), 10.5f);
        if (words.WhereFrom is { } from) pages.Paragraph("Where it comes from: " + from, 10.5f);
        if (words.TryNext is { } next) pages.Paragraph("What to try next: " + next, 10.5f, bold: true);
        Reasons(pages, report);
    }

    private static void Reasons(PdfPages pages, AccuracyReport report)
    {
        foreach (Reason reason in report.Reasons) pages.Paragraph($"Caution: {reason.Message} {reason.Advice}", 10);
    }

    private static void Picture(PdfPages pages, AccuracyReport report, BlockPicture? picture, ReportOptions options)
    {
        using SKImage drawn = SKImage.FromEncodedData(OverlayPicture.Draw(report, picture, options));
        // As JPEG the picture lies in the file as it is; as PNG it would be ten times as large.
        using SKData packed = drawn.Encode(SKEncodedImageFormat.Jpeg, PictureQuality);
        using SKImage image = SKImage.FromEncodedData(packed);
        pages.Image(image);
    }

    private static void Tables(PdfPages pages, AccuracyReport report, UnitFormat units)
    {
        pages.Heading($"Lines ({units.Name}; ± is twice the standard uncertainty)");
        pages.Table([("Line", 1), ("State", 1.4f), ("Beside its place", 1.8f), ("Turned by, °", 1.6f), ("Wobble, r.m.s.", 1.7f), ("Widest swing", 1.7f)],
            report.Lines.Select(l => new[] { l.Id, StatusWords.Of(l), units.PlusMinus(l.OffsetMm, signed: true), UnitFormat.Degrees(l.AngleDeg), units.PlusMinus(l.StraightnessRmsMm), units.PlusMinus(l.StraightnessTotalMm) }));
        if (report.Intersections.Count == 0) return;
        pages.Heading($"Crossings ({units.Name})");
        bool triangles = report.Intersections.Any(i => i.MissTriangleMm is not null);
        pages.Table(triangles ? [("Crossing", 1.4f), ("Off its place", 1.8f), ("Lines miss each other by", 2.2f)] : [("Crossing", 1.4f), ("Off its place", 1.8f)],
            report.Intersections.Select(i => triangles
                ? new[] { i.Id, units.PlusMinus(i.RadialMm), i.MissTriangleMm is { } miss ? units.PlusMinus(miss) : "two lines only" }
                : [i.Id, units.PlusMinus(i.RadialMm)]));
    }
}
