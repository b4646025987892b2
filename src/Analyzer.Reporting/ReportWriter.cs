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
        var files = new Dictionary<string, byte[]>(StringComparer.Ordinal)
        {
            [ReportFiles.Json] = Utf8.GetBytes(ReportJson.Write(report) + "\n"),
            [ReportFiles.Lines] = Utf8.GetBytes(LinesCsv.Write(report)),
            [ReportFiles.Intersections] = Utf8.GetBytes(IntersectionsCsv.Write(report)),
        };
        if (options.TablesOnly) return new ReportFiles(files);
        files[ReportFiles.Html] = Utf8.GetBytes(ReportPage.Write(report, picture, options));
        if (report.Block is not null && report.Lines.Count > 0)
            files[ReportFiles.Overlay] = OverlayPicture.Draw(report, picture, options);
        return new ReportFiles(files);
    }
}
