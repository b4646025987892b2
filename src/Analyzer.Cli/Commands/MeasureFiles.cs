using Analyzer.Core.Report;

namespace Analyzer.Cli.Commands;

/// <summary>Writes a report's files into its folder.</summary>
internal static class MeasureFiles
{
    /// <summary>Writes everything or nothing; returns the path to look at.</summary>
    public static string Write(string folder, AccuracyReport report, BlockPicture? picture, MeasureOptions options)
    {
        Directory.CreateDirectory(folder);
        string path = Path.Combine(folder, "report.json");
        File.WriteAllText(path, ReportJson.Write(report));
        return path;
    }
}
