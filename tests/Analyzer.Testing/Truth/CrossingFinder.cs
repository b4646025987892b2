using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Testing.Truth;

/// <summary>True crossings of the stitched paths near each intended crossing.</summary>
internal static class CrossingFinder
{
    public static IReadOnlyList<CrossingTruth> Find(IntendedGrid grid, IReadOnlyList<LineTruth> lines)
    {
        var paths = lines.Where(l => !l.IsMissing).ToDictionary(l => l.Id, l => new Path(l, grid));
        var found = new List<CrossingTruth>();
        foreach (GridNode node in grid.Nodes)
            for (int i = 0; i < node.LineIds.Count; i++)
                for (int j = i + 1; j < node.LineIds.Count; j++)
                    if (paths.TryGetValue(node.LineIds[i], out Path? a) && paths.TryGetValue(node.LineIds[j], out Path? b) && Meet(a, b, node.Position) is { } at)
                        found.Add(new CrossingTruth(node.Id, node.LineIds[i], node.LineIds[j], node.Position, at));
        return found;
    }

    /// <summary>Fixed-point iteration: each path is nearly straight, so its place across at the last guess gives a better one.</summary>
    private static BlockPoint? Meet(Path a, Path b, BlockPoint guess)
    {
        LineFamily fa = a.Family, fb = b.Family;
        double det = fa.AcrossX * fb.AcrossY - fa.AcrossY * fb.AcrossX;
        for (int i = 0; i < 40; i++)
        {
            if (a.AcrossAt(fa.Along(guess)) is not { } ca || b.AcrossAt(fb.Along(guess)) is not { } cb) return null;
            guess = new BlockPoint((ca * fb.AcrossY - cb * fa.AcrossY) / det, (fa.AcrossX * cb - fb.AcrossX * ca) / det);
        }
        return guess;
    }

    private sealed class Path
    {
        private readonly double[] _along, _across;

        public Path(LineTruth line, IntendedGrid grid)
        {
            Family = grid.Families[line.Family];
            _along = [.. line.Holes.Select(Family.Along)];
            _across = [.. line.Holes.Select(Family.Across)];
        }

        public LineFamily Family { get; }

        public double? AcrossAt(double along) =>
            along < _along[0] || along > _along[^1] ? null : TruthMaker.Interpolate(_along, _across, along);
    }
}
