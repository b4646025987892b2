using System.Globalization;
using System.Text.RegularExpressions;
using Analyzer.Cli.Shell;
using Analyzer.Core.Report;

namespace Analyzer.Cli.Commands;

/// <summary>Reads reports and writes folders, with one clear sentence when that fails.</summary>
internal static partial class UserFiles
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

    /// <summary>The rectified block out of the report.html that lies beside a report.json, or null where there is none.</summary>
    public static BlockPicture? Picture(string path)
    {
        string folder = Directory.Exists(path) ? path : Path.GetDirectoryName(Path.GetFullPath(path))!;
        string page = Path.Combine(folder, "report.html");
        try
        {
            if (!File.Exists(page) || new FileInfo(page).Length > LargestReportBytes) return null;
            Match image = PictureInPage().Match(File.ReadAllText(page));
            if (!image.Success) return null;
            double Number(string name) => double.Parse(image.Groups[name].Value, NumberStyles.Float, CultureInfo.InvariantCulture);
            double margin = -Number("x");
            return margin >= 0 ? new BlockPicture(Convert.FromBase64String(image.Groups["bytes"].Value), image.Groups["type"].Value, 0, 0, 0, margin) : null;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or FormatException)
        {
            // The page is only the picture's source; without it the drawings are shown.
            return null;
        }
    }

    [GeneratedRegex("""<image x="(?<x>-?[0-9.]+)" y="-?[0-9.]+" width="[0-9.]+" height="[0-9.]+" preserveAspectRatio="none" href="data:(?<type>image/(jpeg|png));base64,(?<bytes>[A-Za-z0-9+/=]+)"/>""")]
    private static partial Regex PictureInPage();

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
