using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;

namespace Analyzer.Planning.Tests.Route;

/// <summary>All ends worked out together against each end worked out alone (Kruskal's tree, an independent way), on blocks too large for trying everything.</summary>
public sealed class EveryEndTests
{
    private const double ToleranceMm = 1e-6;

    private static IEnumerable<IntendedGrid> LargerBlocks(int seed, int count)
    {
        foreach (int n in (int[])[4, 9, 14])
        {
            // Diagonals that touch no corner are closed loops: the case in which many ends stay possible.
            const double cell = 12;
            var size = new BlockSize(n * cell, n * cell);
            var through = new BlockPoint(cell / 2, size.HeightMm);
            yield return new IntendedGrid(size, [new LineFamily(45, cell / Math.Sqrt(2), through), new LineFamily(-45, cell / Math.Sqrt(2), through), new LineFamily(0, cell / 2, through)]);
        }
        var random = new Random(seed);
        for (int made = 0; made < count;)
        {
            if (Blocks.Random(random, 60) is not { Lines.Count: > 8 } grid) continue;
            made++;
            yield return grid;
        }
    }

    private static TravelProblem Problem(BorderRing ring, IntendedGrid grid, Func<GridLine, bool> which) =>
        new(ring.Gaps, [.. Enumerable.Range(0, grid.Lines.Count).Where(i => which(grid.Lines[i])).Select(i => (ring.EndNodes[2 * i], ring.EndNodes[2 * i + 1]))], false);

    [Fact]
    public void EveryEnd_AtOnce_IsEachEndAlone()
    {
        foreach (IntendedGrid grid in LargerBlocks(21, 60))
        {
            var ring = new BorderRing(grid.Size, grid.Lines);
            TravelProblem problem = Problem(ring, grid, _ => true);
            foreach (int start in (int[])[ring.CornerNode(BlockCorner.LowerLeft), ring.CornerNode(BlockCorner.UpperRight), ring.Count / 3])
            {
                double[] all = problem.SolveEveryEnd(start);
                for (int end = 0; end < ring.Count; end++)
                    if (problem.Touches(end) || end == start) Assert.Equal(problem.Solve(start, end).TravelMm, all[end], ToleranceMm);
                    else Assert.Equal(double.PositiveInfinity, all[end]);
                double limit = all.Min() + 10;
                double[] below = problem.SolveEveryEnd(start, null, limit);
                for (int end = 0; end < ring.Count; end++)
                    if (all[end] < limit - ToleranceMm) Assert.Equal(all[end], below[end], ToleranceMm);
            }
        }
    }

    [Fact]
    public void BorderFirst_OnLargerBlocks_TakesTheBestOfAllEnds()
    {
        foreach (IntendedGrid grid in LargerBlocks(22, 40))
        {
            var planner = new RoutePlanner(grid);
            TravelProblem problem = Problem(planner.Ring, grid, _ => true);
            foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
            {
                int start = planner.Ring.CornerNode(corner);
                double best = Enumerable.Range(0, planner.Ring.Count).Where(t => problem.Touches(t) || t == start).Min(t => problem.Solve(start, t).TravelMm);
                StitchRoute route = planner.Plan(RouteRule.BorderFirst, corner);
                Blocks.AssertSound(grid, route);
                Assert.Equal(best, route.DitchAgainMm, ToleranceMm);
            }
        }
    }

    [Fact]
    public void LastFamilyLast_OnLargerBlocks_TakesTheBestOfAllMiddlesAndEnds()
    {
        int split = 0;
        foreach (IntendedGrid grid in LargerBlocks(23, 60))
        {
            int last = RoutePlanner.LastFamily(grid.Families);
            if (!grid.Lines.Any(l => l.Family == last) || grid.Lines.All(l => l.Family == last)) continue;
            split++;
            var planner = new RoutePlanner(grid);
            TravelProblem early = Problem(planner.Ring, grid, l => l.Family != last), late = Problem(planner.Ring, grid, l => l.Family == last);
            int n = planner.Ring.Count;
            double[] second = [.. Enumerable.Range(0, n).Select(m => Enumerable.Range(0, n).Where(t => late.Touches(t) || t == m).Min(t => late.Solve(m, t).TravelMm))];
            foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
            {
                int start = planner.Ring.CornerNode(corner);
                double best = Enumerable.Range(0, n).Where(m => early.Touches(m) || m == start).Min(m => early.Solve(start, m).TravelMm + second[m]);
                StitchRoute route = planner.Plan(RouteRule.BorderThenLastFamily, corner);
                Blocks.AssertSound(grid, route);
                Assert.Equal(best, route.DitchAgainMm, ToleranceMm);
            }
        }
        Assert.True(split > 15, $"only {split} blocks had a last family");
    }
}
