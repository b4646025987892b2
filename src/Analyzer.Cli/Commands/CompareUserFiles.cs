using Analyzer.Cli.Shell;
using Analyzer.Core.Report;

namespace Analyzer.Cli.Commands;

/// <summary>Reads reports and writes folders, with one clear sentence when that fails.</summary>
internal static class UserFiles
{
    private const long LargestReportBytes = 200_000_000;

    /// <summary>The report in a file, or in the folder's report.json.</summary>
    public static AccuracyReport Report(string path) => ReportJson.Read(ReportText(path));

    public static string ReportText(string path)
    {
        string file = Directory.Exists(path) ? Path.Combine(path, "report.json") : path;
        if (!File.Exists(file))
            throw new UserErrorException($"{path}: there is no such report; give a report.json written by the measure command, or its folder.");
        try
        {
            if (new FileInfo(file).Length > LargestReportBytes) throw new UserErrorException($"{file} is far too large to be a report.");
            string text = File.ReadAllText(file);
            ReportJson.Read(text);
            return text;
        }
        catch (FormatException trouble)
        {
            throw new UserErrorException($"{file}: {trouble.Message}", inner: trouble);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            throw new UserErrorException($"{file} cannot be read; check its permissions.", inner: trouble);
        }
    }

    public static void Guard(string place, Action write)
    {
        try
        {
            write();
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new UserErrorException($"{place} cannot be written; check the folder and the room on the disk.", ExitCodes.Failed, trouble);
        }
    }
}
