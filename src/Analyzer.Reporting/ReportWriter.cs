using System.Text;
using Analyzer.Core.Report;
using Analyzer.Reporting.Html;
using Analyzer.Reporting.Pictures;
using Analyzer.Reporting.Tables;

namespace Analyzer.Reporting;

/// <summary>Turns a measurement into the files a quilter, a spreadsheet and a program can read.</summary>
public static class ReportWriter
{
    private static readonly UTF8Encoding Utf8 = new(encoderShouldEmitUTF8Identifier: false);

    /// <summary>Renders the whole set in memory. overlay.png is left out when there is no block to draw, page and overlay when only tables are wanted.</summary>
    /// <param name="picture">The rectified block; without it the drawings have a plain ground.</param>
    public static ReportFiles Render(AccuracyReport report, BlockPicture? picture, ReportOptions options)
    {
        bool drawn = !options.TablesOnly && report.Block is not null && report.Lines.Count > 0;
        // The picture takes longest: it is drawn beside the page.
        Task<byte[]>? overlay = drawn ? Task.Run(() => OverlayPicture.Draw(report, picture, options)) : null;
        var files = new Dictionary<string, byte[]>(StringComparer.Ordinal)
        {
            [ReportFiles.Json] = Utf8.GetBytes(ReportJson.Write(report) + "\n"),
            [ReportFiles.Lines] = Utf8.GetBytes(LinesCsv.Write(report)),
            [ReportFiles.Intersections] = Utf8.GetBytes(IntersectionsCsv.Write(report)),
        };
        if (!options.TablesOnly) files[ReportFiles.Html] = Utf8.GetBytes(ReportPage.Write(report, picture, options));
        if (overlay is not null) files[ReportFiles.Overlay] = overlay.GetAwaiter().GetResult();
        return new ReportFiles(files);
    }
}
