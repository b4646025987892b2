using Analyzer.Cli.Shell;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Practice.Classroom;
using Analyzer.Vision.Photos;

namespace Analyzer.Cli.Commands;

/// <summary>Turns one file of a class into a report: a report.json is read as it is, a photo is measured.</summary>
internal sealed class ClassMeasuring
{
    private readonly Arguments _arguments;
    private readonly IntendedGrid? _grid;

    /// <summary>Checks the class's own size and grid at once, so that a slip is told before the first photo.</summary>
    public ClassMeasuring(Arguments arguments)
    {
        _arguments = arguments;
        bool given = arguments.Value("--size") is not null || arguments.Value("--grid") is not null || arguments.Values("--lines").Count > 0 || arguments.Value("--plan") is not null;
        _grid = given ? GridOptions.Parse(arguments) : null;
    }

    public AccuracyReport Measure(ClassItem item, CancellationToken cancel) =>
        IsReport(item.Path) ? ReportJson.Read(File.ReadAllText(item.Path)) : MeasurePhoto(item.Path, Grid(item), null, false, cancel).Report;

    public static bool IsReport(string path) => Path.GetExtension(path).Equals(".json", StringComparison.OrdinalIgnoreCase);

    /// <summary>The whole measurement of one photo, with the rectified block as a picture where that is wanted.</summary>
    public static (AccuracyReport Report, BlockPicture? Picture) MeasurePhoto(string path, IntendedGrid grid, BlockCorners? corners, bool withPicture, CancellationToken cancel)
    {
        try
        {
            using Photo photo = PhotoReader.Read(path, PhotoReader.HalveFromPixels);
            if (corners is not null) MeasureCorners.CheckInside(corners, photo.FileWidthPx, photo.FileHeightPx);
            AnalysisOutcome outcome = new BlockAnalyzer().Analyze(photo, grid, new AnalysisSettings { GivenCorners = corners, WithPicture = withPicture }, null, cancel);
            return (outcome.Report, outcome.Picture);
        }
        catch (PhotoException refusal)
        {
            throw new UserErrorException(refusal.Message, inner: refusal);
        }
    }

    /// <summary>The photo's own size and grid from the list, else the class's.</summary>
    private IntendedGrid Grid(ClassItem item)
    {
        if (item.Size is null && item.Grid is null)
            return _grid ?? throw new UserErrorException("What was meant to be stitched is not known: give --size and --grid, or both in the list.");
        string size = item.Size ?? _arguments.Value("--size") ?? throw new UserErrorException("The list gives a grid but no size, and --size is missing.");
        string grid = item.Grid ?? _arguments.Value("--grid") ?? throw new UserErrorException("The list gives a size but no grid, and --grid is missing.");
        return GridOptions.Parse(Arguments.Parse(["--size", size, "--grid", grid], GridOptions.Names, []));
    }
}
