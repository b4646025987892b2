using Analyzer.Core.Geometry;
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

    /// <summary>Lines shorter than this may be lost to the ditch; one that is seen for less than so much of its length is lost.</summary>
    private const double LongMm = 20, MostOfALine = 0.6;

    /// <summary>So many of a family's lines must be seen; some may not be sewn, or lost to sight.</summary>
    private const double MostLines = 0.75;

    private const int LeastLines = 3;

    /// <summary>A line runs to a side where most of its last stretch before it is seen, mm; so many of the lines that were meant to end at the side must. Beside an outline that lies a line's distance off, hardly one does.</summary>
    private const double LastMm = 15, MostOfTheLast = 0.6, MostEnds = 0.75;

    /// <summary>Lines that ask for a side to lie this far elsewhere do not confirm it, mm. Stitching errors move a family by less on the mean.</summary>
    private const double MostMovedMm = 1.2;

    /// <summary>Most of the intended lines are there, sewn, and run to the sides, and each family as a whole lies where the outline has it, at its first line as at its last.</summary>
    /// <param name="sides">The outline's sides, as bowed as they were seen; a family may lie where they have it or where straight ones would.</param>
    public static bool Settles(BlockTraces traces, IntendedGrid grid, IReadOnlyList<SideReading> sides)
    {
        if (traces.Thread is not { } thread || traces.LookAlikeUndecided || !(thread.DashCorrelation >= 0.1 || thread.StitchesShow || thread.SwaysByHand || traces.AreSeenSewn)) return false;
        BowedSides[] either = [BowedSides.Straight(grid.Size), BowedSides.Of(grid.Size, sides)];
        var all = new List<TracedLine>();
        for (int f = 0; f < grid.Families.Count; f++)
        {
            LineFamily family = grid.Families[f];
            int[] own = [.. Enumerable.Range(0, grid.Lines.Count).Where(i => grid.Lines[i].Family == f && grid.Lines[i].LengthMm > LongMm)];
            TracedLine[] seen = [.. own.Select(i => traces.Lines[i]).OfType<TracedLine>().Where(l => l.Coverage > MostOfALine)];
            if (seen.Length < Math.Max(LeastLines, MostLines * own.Length) || either.All(s => FarthestMm(seen, family, grid.Lines[own[0]], grid.Lines[own[^1]], s) > MostMovedMm)) return false;
            all.AddRange(seen);
        }
        return RunToEverySide(all, grid.Size);
    }

    private static bool RunToEverySide(List<TracedLine> lines, BlockSize size)
    {
        int[] meant = new int[4], seen = new int[4];
        foreach (TracedLine line in lines)
        {
            Count(line.Line.From, line.AlongMm.Count(s => s <= LastMm));
            Count(line.Line.To, line.AlongMm.Count(s => line.Line.LengthMm - s <= LastMm));
        }
        return Enumerable.Range(0, 4).All(side => seen[side] >= MostEnds * meant[side]);

        void Count(BlockPoint end, int samples)
        {
            double[] toSide = [end.Ymm, size.WidthMm - end.Xmm, size.HeightMm - end.Ymm, end.Xmm];
            int side = Array.IndexOf(toSide, toSide.Min());
            meant[side]++;
            if (samples >= MostOfTheLast * LastMm) seen[side]++;
        }
    }

    /// <summary>How far a line as a whole lies from where an outline with such sides has it.</summary>
    private static double OffMm(TracedLine line, LineFamily family, BowedSides sides) =>
        UpperMedian.Of([.. line.AlongMm.Select((s, i) => line.DeviationMm[i] - sides.AcrossMm(line.Line.From.Xmm + s * family.AlongX, line.Line.From.Ymm + s * family.AlongY, family.AcrossX, family.AcrossY))]);

    /// <summary>How far the straight line through the seen lines' places and offsets lies off at the family's first or last one.</summary>
    private static double FarthestMm(TracedLine[] seen, LineFamily family, GridLine first, GridLine last, BowedSides sides)
    {
        (double Across, double Off)[] places = [.. seen.Select(l => (family.AcrossOfLine(l.Line.Index), OffMm(l, family, sides)))];
        double middle = places.Average(s => s.Across), off = places.Average(s => s.Off);
        double growth = places.Sum(s => (s.Across - middle) * (s.Off - off)) / places.Sum(s => (s.Across - middle) * (s.Across - middle));
        return Math.Max(Math.Abs(off + growth * (family.AcrossOfLine(first.Index) - middle)), Math.Abs(off + growth * (family.AcrossOfLine(last.Index) - middle)));
    }
}
