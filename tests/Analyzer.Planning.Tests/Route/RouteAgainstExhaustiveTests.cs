using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;
using Analyzer.Planning.Tests.Oracles;

namespace Analyzer.Planning.Tests.Route;

/// <summary>The planner's travel against trying everything, on small blocks (independent oracle).</summary>
public sealed class RouteAgainstExhaustiveTests
{
    private const double ToleranceMm = 1e-6;

    /// <summary>Named small blocks with at most eight lines, and random ones.</summary>
    public static IEnumerable<IntendedGrid> SmallBlocks(int seed, int count, int mostLines)
    {
        var corner = new BlockPoint(0, 100);
        foreach (double d in (double[])[30, 35, 45, 60, 80])
            foreach (string name in (string[])["square", "diamond", "diamond60", "triangle", "triangle45"])
            {
                var size = new BlockSize(100, d > 50 ? 150 : 100);
                var grid = new IntendedGrid(size, NamedGrids.Families(name, new(d), size)!);
                if (grid.Lines.Count <= mostLines) yield return grid;
            }
        var one = new BlockSize(100, 100);
        yield return new IntendedGrid(one, [new LineFamily(45, 20, corner)]);
        yield return new IntendedGrid(one, [new LineFamily(0, 20, corner)]);
        var random = new Random(seed);
        for (int made = 0; made < count;)
        {
            if (Blocks.Random(random, mostLines) is not { } grid) continue;
            made++;
            yield return grid;
        }
    }

    [Fact]
    public void BorderFirst_OnSmallBlocks_TravelsNoMoreThanTheBestOfAll()
    {
        foreach (IntendedGrid grid in SmallBlocks(1, 60, 8))
        {
            var planner = new RoutePlanner(grid);
            foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
            {
                StitchRoute route = planner.Plan(RouteRule.BorderFirst, corner);
                Blocks.AssertSound(grid, route);
                double best = Exhaustive.LinesInGroups(planner.Ring, grid, planner.Ring.CornerNode(corner), new int[grid.Lines.Count]);
                Assert.Equal(best, route.DitchAgainMm, ToleranceMm);
            }
        }
    }

    [Fact]
    public void BorderThenLastFamily_OnSmallBlocks_TravelsNoMoreThanTheBestOfAll()
    {
        int split = 0;
        foreach (IntendedGrid grid in SmallBlocks(2, 220, 8))
        {
            int last = RoutePlanner.LastFamily(grid.Families);
            int[] group = [.. grid.Lines.Select(l => l.Family == last ? 1 : 0)];
            if (!group.Contains(0) || !group.Contains(1)) continue;
            split++;
            var planner = new RoutePlanner(grid);
            foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
            {
                StitchRoute route = planner.Plan(RouteRule.BorderThenLastFamily, corner);
                Blocks.AssertSound(grid, route);
                var families = route.LineOrder.Select(id => grid.Line(id).Family == last).ToList();
                Assert.Equal(families.Order(), families);
                double best = Exhaustive.LinesInGroups(planner.Ring, grid, planner.Ring.CornerNode(corner), group);
                Assert.Equal(best, route.DitchAgainMm, ToleranceMm);
            }
        }
        Assert.True(split > 20, $"only {split} blocks had a last family");
    }

    [Fact]
    public void AnyOrder_OnSmallBlocks_TravelsNoMoreThanTheBestOfAll()
    {
        int tried = 0;
        foreach (IntendedGrid grid in SmallBlocks(3, 40, 5))
        {
            var planner = new RoutePlanner(grid);
            if (planner.Ring.Count + grid.Lines.Count > 17) continue;
            tried++;
            foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
            {
                StitchRoute route = planner.Plan(RouteRule.AnyOrder, corner);
                Blocks.AssertSound(grid, route);
                Assert.Equal(Exhaustive.Anything(planner.Ring, grid, planner.Ring.CornerNode(corner)), route.DitchAgainMm, ToleranceMm);
            }
        }
        Assert.True(tried > 30, $"only {tried} blocks were small enough");
    }

    /// <summary>Up to eight lines: matching the odd points of the border ring in every way, lines not to be walked twice.</summary>
    [Fact]
    public void AnyOrder_OnBlocksOfEightLines_AgreesWithMatchingInEveryWay()
    {
        foreach (IntendedGrid grid in SmallBlocks(4, 100, 8))
        {
            var planner = new RoutePlanner(grid);
            BorderRing ring = planner.Ring;
            var postman = new Postman(
                ring.Count,
                Enumerable.Range(0, ring.Count).Select(i => (i, (i + 1) % ring.Count, ring.Gaps[i])),
                Enumerable.Range(0, grid.Lines.Count).Select(i => (ring.EndNodes[2 * i], ring.EndNodes[2 * i + 1])));
            foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
                Assert.Equal(postman.OpenExtraFrom(ring.CornerNode(corner)), planner.Plan(RouteRule.AnyOrder, corner).DitchAgainMm, ToleranceMm);
        }
    }

    [Fact]
    public void CuttingRules_OnSmallBlocks_CutAsSeldomAsCanBe()
    {
        int tried = 0;
        foreach (IntendedGrid grid in SmallBlocks(5, 40, 8))
        {
            var planner = new RoutePlanner(grid);
            int start = planner.Ring.CornerNode(BlockCorner.LowerLeft);
            StitchRoute lines = planner.Plan(RouteRule.LinesOnly, BlockCorner.LowerLeft);
            Blocks.AssertSound(grid, lines);
            int fewest = Enumerable.Range(0, planner.Ring.Count).Min(s => planner.Ring.EndNodes.Contains(s) ? Exhaustive.FewestCuts(planner.Ring, grid, s, false) : int.MaxValue);
            Assert.Equal(fewest, lines.Cuts);
            if (grid.Lines.Count + planner.Ring.Count > 16) continue;
            tried++;
            StitchRoute once = planner.Plan(RouteRule.NoSecondPass, BlockCorner.LowerLeft);
            Blocks.AssertSound(grid, once);
            Assert.Equal(Exhaustive.FewestCuts(planner.Ring, grid, start, true), once.Cuts);
        }
        Assert.True(tried > 20, $"only {tried} blocks were small enough");
    }
}
