using Analyzer.Cli.Shell;
using Analyzer.Core.Report;
using Analyzer.Reporting;

namespace Analyzer.Cli.Commands;

/// <summary>Writes a report's files into its folder.</summary>
internal static class MeasureFiles
{
    /// <summary>Writes everything or nothing; returns the path to look at.</summary>
    public static string Write(string folder, AccuracyReport report, BlockPicture? picture, MeasureOptions options, CancellationToken cancel)
    {
        var layout = new ReportOptions
        {
            Units = options.Inches ? ReportUnits.Inches : ReportUnits.Millimetres,
            RepeatCommand = report.Settings.GetValueOrDefault("command"),
            TablesOnly = !options.WithPictures,
        };
        ReportFiles files = ReportWriter.Render(report, picture, layout);
        cancel.ThrowIfCancellationRequested();
        Guard(() => ReportFolder.Write(folder, files, cancel));
        return Path.Combine(folder, files.Files.ContainsKey(ReportFiles.Html) ? ReportFiles.Html : ReportFiles.Json);
    }

    /// <summary>Files that are no report: all of them or none.</summary>
    public static void Write(string folder, IReadOnlyDictionary<string, byte[]> files, CancellationToken cancel) =>
        Guard(() => ReportFolder.Write(folder, files, cancel));

    public static void Guard(Action write)
    {
        try
        {
            write();
        }
        catch (ReportFolderException trouble)
        {
            throw new UserErrorException(trouble.Message, ExitCodes.Failed, trouble);
        }
    }
}
