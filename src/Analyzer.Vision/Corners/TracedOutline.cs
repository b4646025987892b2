using Analyzer.Core.Pattern;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Corners;

/// <summary>
/// Corners that are in doubt only because the small picture does not show the stitched lines on the grid: once the lines are traced at full size, they tell whether
/// the outline is the block's. The corners stay as they were found.
/// </summary>
internal static class TracedOutline
{
    /// <summary>What is said about corners that were settled so.</summary>
    public const string Told = "the outline was not plain in itself; the stitched lines, once traced, fit it on all sides";

    /// <summary>Lines shorter than this may be lost to the ditch; of the others so many must be seen for so much of their length, in each family.</summary>
    private const double LongMm = 20, MostLines = 0.9, MostOfALine = 0.6;

    /// <summary>A family may lack more lines, not sewn or lost to sight, where half of its others are seen for so much of their length, from side to side of the outline: beside the block's own, they would end before it.</summary>
    private const double EnoughLines = 0.75, FromSideToSide = 0.93;

    private const int LeastLines = 3;

    /// <summary>Lines that ask for a side to lie this far elsewhere do not confirm it, mm. Stitching errors move a family by less on the mean.</summary>
    private const double MostMovedMm = 1.2;

    /// <summary>Nearly every intended line is there, sewn, and each family as a whole lies where the outline has it, at its first line as at its last.</summary>
    /// <param name="everyLine">Whether nothing less will do than nearly every line from side to side.</param>
    public static bool Settles(BlockTraces traces, IntendedGrid grid, bool everyLine = false)
    {
        if (traces.Thread is not { } thread || traces.LookAlikeUndecided || !(thread.DashCorrelation >= 0.1 || thread.StitchesShow || thread.SwaysByHand)) return false;
        bool nearlyAll = true, allTheWay = true;
        for (int f = 0; f < grid.Families.Count; f++)
        {
            int[] own = [.. Enumerable.Range(0, grid.Lines.Count).Where(i => grid.Lines[i].Family == f && grid.Lines[i].LengthMm > LongMm)];
            (double Across, double Off)[] seen = [.. own.Where(i => traces.Lines[i] is { Coverage: > MostOfALine }).Select(i => (grid.Families[f].AcrossOfLine(grid.Lines[i].Index), UpperMedian.Of(traces.Lines[i]!.DeviationMm)))];
            double coverage = UpperMedian.Of(own.Select(i => traces.Lines[i]?.Coverage ?? 0).Where(c => c > MostOfALine));
            allTheWay &= coverage > FromSideToSide;
            nearlyAll &= seen.Length >= MostLines * own.Length;
            if (seen.Length < Math.Max(LeastLines, EnoughLines * own.Length) || FarthestMm(seen) > MostMovedMm) return false;
        }
        return everyLine ? nearlyAll && allTheWay : nearlyAll || allTheWay;
    }

    /// <summary>How far the straight line through places and offsets lies off at the first or the last place.</summary>
    private static double FarthestMm((double Across, double Off)[] seen)
    {
        double middle = seen.Average(s => s.Across), off = seen.Average(s => s.Off);
        double growth = seen.Sum(s => (s.Across - middle) * (s.Off - off)) / seen.Sum(s => (s.Across - middle) * (s.Across - middle));
        return Math.Max(Math.Abs(off + growth * (seen[0].Across - middle)), Math.Abs(off + growth * (seen[^1].Across - middle)));
    }
}
