using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Marks;

/// <summary>
/// Traces the drawn marks that a block was stitched along, beside and under the thread: a solid band of a colour of its own, the same on nearly all lines,
/// straighter than the thread. Where the lines do not agree on such a band there are no marks, and nothing is given.
/// </summary>
/// <remarks>
/// Marks darker than the cloth in its own hue (soft pencil on white) cannot be told from the furrow's shadow in one photo; they are not given.
/// </remarks>
public static class MarkTracer
{
    private const int MostProbes = 9;

    /// <summary>A block with marks on fewer of its stitched lines than this share was not drawn on; what shows is chance.</summary>
    private const double LeastShare = 0.5;

    public static BlockMarks? Trace(Photo photo, BlockPlane plane, IntendedGrid grid, IReadOnlyList<TracedLine?> lines)
    {
        TracedLine[] seen = [.. lines.OfType<TracedLine>().Where(l => l.Coverage > 0.6 && l.AlongMm.Length >= 15)];
        if (seen.Length < 3) return null;
        TracedLine[] chosen = Probes(seen, grid.Families.Count);
        MarkStrip Cut(TracedLine line) => MarkStrip.Cut(photo.Bgr, plane, grid, line, seen);
        var cut = new MarkStrip[chosen.Length];
        Parallel.For(0, cut.Length, i => cut[i] = Cut(chosen[i]));
        Dictionary<string, MarkStrip> strips = cut.ToDictionary(s => s.Line.Line.Id);
        double threadWidth = Math.Clamp(UpperMedian.Of(seen.Select(l => l.WidthMm)), 0.15, 0.6);
        if (MarkColour.Learn(cut, threadWidth, plane.PixelsPerMm) is not { } colour) return null;
        var marks = new TracedMark?[seen.Length];
        Parallel.For(0, seen.Length, i => marks[i] = MarkPath.Follow(strips.TryGetValue(seen[i].Line.Id, out MarkStrip? strip) ? strip : Cut(seen[i]), colour));
        TracedMark[] found = [.. marks.OfType<TracedMark>()];
        return found.Length < Math.Max(3, LeastShare * seen.Length) ? null : new BlockMarks(found, colour.Filter.WidthMm, colour.Levels);
    }

    /// <summary>The longest lines of each family in turn.</summary>
    private static TracedLine[] Probes(TracedLine[] seen, int families)
    {
        TracedLine[][] byFamily = [.. Enumerable.Range(0, families).Select(f => seen.Where(l => l.Line.Family == f).OrderByDescending(l => l.AlongMm.Length).ToArray())];
        var result = new List<TracedLine>();
        for (int rank = 0; result.Count < MostProbes && byFamily.Any(b => b.Length > rank); rank++)
            result.AddRange(byFamily.Where(b => b.Length > rank).Select(b => b[rank]));
        return [.. result];
    }
}
