using Analyzer.Cli.Shell;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Planning;
using Analyzer.Planning.Amounts;
using Analyzer.Practice.Log;

namespace Analyzer.Cli.Commands;

/// <summary>A person's pace off the practice log: minutes stitched over minutes planned, all timed blocks together.</summary>
/// <param name="Pace">1 is the pace of the time estimate's own assumptions.</param>
internal sealed record PlanPace(double Pace, int Blocks)
{
    public static PlanPace Of(string who, string? logPath)
    {
        string path = logPath ?? PracticeLog.DefaultPath;
        if (!File.Exists(path)) throw new UserErrorException($"--pace-of {who}: there is no practice log at {path} yet; log add starts one.");
        var pairs = new List<(double PredictedMin, double MeasuredMin)>();
        try
        {
            using PracticeLog log = PracticeLog.Open(path);
            Dictionary<string, string> plans = log.Plans().ToDictionary(p => p.Name, p => p.PlanJson, StringComparer.OrdinalIgnoreCase);
            foreach (PracticeBlock block in log.Sessions(who).SelectMany(s => s.Blocks))
                if (block.StitchMinutes is double minutes and > 0 && Planned(block, plans) is { } planned) pairs.Add((planned, minutes));
        }
        catch (PracticeLogException trouble)
        {
            throw new UserErrorException(trouble.Message, ExitCodes.Failed, trouble);
        }
        if (pairs.Count == 0)
            throw new UserErrorException($"--pace-of {who}: the log holds no block of {who} with its stitching minutes; give them with log add --block-minutes.");
        return new PlanPace(Math.Clamp(TimeModel.PaceFrom(pairs), 0.05, 20), pairs.Count);
    }

    /// <summary>Minutes the block's own plan expected; without a plan, those of its grid sewn along the path this program would plan.</summary>
    private static double? Planned(PracticeBlock block, Dictionary<string, string> plans)
    {
        try
        {
            if (block.Plan is { } name && plans.TryGetValue(name, out string? json) && PlanFile.Read(json).PlannedMinutes is { } minutes) return minutes;
            AccuracyReport report = ReportJson.Read(block.ReportJson);
            if (report.Block is null || report.Grid is null) return null;
            var grid = new IntendedGrid(
                new BlockSize(report.Block.WidthMm, report.Block.HeightMm),
                [.. report.Grid.Families.OrderBy(f => f.Family).Select(f => new LineFamily(f.AngleDeg, f.SpacingMm, new BlockPoint(f.ThroughMm[0], f.ThroughMm[1])))]);
            return BlockPlan.Make(grid, new PlanSettings()).Time.TotalMin;
        }
        catch (Exception trouble) when (trouble is FormatException or ArgumentException)
        {
            return null;
        }
    }
}
