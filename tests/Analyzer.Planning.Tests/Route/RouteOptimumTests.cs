using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;
using Analyzer.Planning.Tests.Oracles;

namespace Analyzer.Planning.Tests.Route;

/// <summary>The planner against published counts and optima: external checks H2, H3, H4, H5, H6.</summary>
public sealed class RouteOptimumTests
{
    private const double ToleranceMm = 1e-6;

    /// <summary>H2: on-point grid n x n: 2n²+2n+1 points, 4n²+4n edges, 4 odd points, closed extra 2n, open extra n.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(5)]
    [InlineData(8)]
    public void Route_OfOnPointSquare_ReachesTheBound(int n)
    {
        IntendedGrid grid = Blocks.OnPoint(n, n);
        var graph = new PlanarGraph(grid);
        var postman = new Postman(graph.Points, graph.Edges);
        Assert.Equal(2 * n * n + 2 * n + 1, graph.Points);
        Assert.Equal(4 * n * n + 4 * n, graph.Edges.Count);
        Assert.Equal(4, postman.OddCount);
        Assert.Equal(2 * Math.Sqrt(2) * n * n * Blocks.CellMm, grid.Lines.Sum(l => l.LengthMm), 6);
        AssertExtra(grid, open: n, closed: 2 * n);
        Assert.Equal(n * Blocks.CellMm, postman.OpenExtra(), 6);
        Assert.Equal(2 * n * Blocks.CellMm, postman.ClosedExtra(), 6);
    }

    /// <summary>H2: rectangle n x m: 2nm+n+m+1 points, 4nm+2(n+m) edges, closed 2 min(n,m), open min(n,m).</summary>
    [Theory]
    [InlineData(2, 3)]
    [InlineData(3, 4)]
    [InlineData(4, 6)]
    [InlineData(3, 8)]
    public void Route_OfOnPointRectangle_ReachesTheBound(int n, int m)
    {
        IntendedGrid grid = Blocks.OnPoint(n, m);
        var graph = new PlanarGraph(grid);
        Assert.Equal(2 * n * m + n + m + 1, graph.Points);
        Assert.Equal(4 * n * m + 2 * (n + m), graph.Edges.Count);
        AssertExtra(grid, open: Math.Min(n, m), closed: 2 * Math.Min(n, m));
    }

    /// <summary>H5: horizontals at every whole row: 2n+2 odd points, 5n²+3n edges, open extra n, closed n+1 (odd) or 2n (even).</summary>
    /// <remarks>H6: the practical route attains n, with no turn at any inner crossing.</remarks>
    [Theory]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(7)]
    public void Route_WithHorizontalsAtWholeRows_ReachesTheBound(int n)
    {
        IntendedGrid grid = Blocks.OnPoint(n, n, Blocks.CellMm);
        var graph = new PlanarGraph(grid);
        var postman = new Postman(graph.Points, graph.Edges);
        Assert.Equal(2 * n + 2, postman.OddCount);
        Assert.Equal(5 * n * n + 3 * n, graph.Edges.Count);
        Assert.Equal((4 * n + 2 * Math.Sqrt(2) * n * n + n * (n - 1)) * Blocks.CellMm, postman.Length, 6);
        StitchRoute route = new RoutePlanner(grid).Plan(RouteRule.AnyOrder, BlockCorner.LowerLeft);
        Blocks.AssertSound(grid, route);
        Assert.Equal(n * Blocks.CellMm, route.DitchAgainMm, ToleranceMm);
        StitchRoute closed = new RoutePlanner(grid).Plan(RouteRule.AnyOrder, BlockCorner.LowerLeft, backToStart: true);
        Assert.Equal((n % 2 == 1 ? n + 1 : 2 * n) * Blocks.CellMm, closed.DitchAgainMm, ToleranceMm);
        Assert.True(closed.EndPoint.DistanceTo(closed.StartPoint) < 1e-9);
    }

    /// <summary>H6: the practical route reaches n ditch units for every n from 1 to 10, from every corner, without horizontals and with them.</summary>
    [Fact]
    public void Route_ReachesTheScoreOfHundredPercent_UpToTen()
    {
        for (int n = 1; n <= 10; n++)
            foreach (double? row in (double?[])[null, Blocks.CellMm])
            {
                if (n == 1 && row is not null) continue;
                IntendedGrid grid = Blocks.OnPoint(n, n, row);
                var planner = new RoutePlanner(grid);
                foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
                {
                    StitchRoute route = planner.Plan(RouteRule.BorderFirst, corner);
                    Blocks.AssertSound(grid, route);
                    Assert.Equal(n * Blocks.CellMm, route.DitchAgainMm, ToleranceMm);
                }
            }
    }

    /// <summary>H5: horizontals through every crossing (half rows): 4n+2 odd points, closed 2n, open n.</summary>
    [Theory]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void Route_WithHorizontalsAtHalfRows_ReachesTheBound(int n)
    {
        IntendedGrid grid = Blocks.OnPoint(n, n, Blocks.CellMm / 2);
        var graph = new PlanarGraph(grid);
        Assert.Equal(4 * n + 2, new Postman(graph.Points, graph.Edges).OddCount);
        StitchRoute open = new RoutePlanner(grid).Plan(RouteRule.AnyOrder, BlockCorner.UpperRight);
        StitchRoute closed = new RoutePlanner(grid).Plan(RouteRule.AnyOrder, BlockCorner.UpperRight, backToStart: true);
        Assert.Equal(n * Blocks.CellMm, open.DitchAgainMm, ToleranceMm);
        Assert.Equal(2 * n * Blocks.CellMm, closed.DitchAgainMm, ToleranceMm);
    }

    /// <summary>H3 and H4: diagonals alone fall into 2 corner paths and gcd(n,m)-1 closed loops; so lines only cost gcd cuts.</summary>
    /// <remarks>H4 (arithmetic billiards): the first thread is a corner path of length lcm·√2 with n/g + m/g - 2 bounces.</remarks>
    [Theory]
    [InlineData(2, 2, 1)]
    [InlineData(6, 6, 5)]
    [InlineData(4, 6, 1)]
    [InlineData(6, 9, 2)]
    [InlineData(15, 40, 4)]
    [InlineData(10, 40, 9)]
    public void LinesOnly_OfDiagonals_CutsOncePerLoopAndSecondPath(int n, int m, int loops)
    {
        IntendedGrid grid = Blocks.OnPoint(n, m);
        StitchRoute route = new RoutePlanner(grid).Plan(RouteRule.LinesOnly, BlockCorner.LowerLeft);
        Blocks.AssertSound(grid, route);
        Assert.Equal(loops + 1, route.Cuts);
        int gcd = (int)System.Numerics.BigInteger.GreatestCommonDivisor(n, m), lcm = n * m / gcd;
        Assert.Equal(loops, gcd - 1);
        Assert.Equal(2 * Math.Sqrt(2) * n * m * Blocks.CellMm, route.LinesMm, 6);
        var first = route.Steps.TakeWhile(s => s.Kind == StepKind.Line).ToList();
        Assert.Equal(lcm * Math.Sqrt(2) * Blocks.CellMm, first.Sum(s => s.LengthMm), 6);
        Assert.Equal(n / gcd - 1 + (m / gcd - 1), first.Count - 1);
        bool opposite = TwosIn(n) == TwosIn(m);
        bool endsOpposite = first[^1].To.Xmm > 1 && first[^1].To.Ymm < 1;
        Assert.Equal(opposite, endsOpposite);
    }

    private static int TwosIn(int number) => int.TrailingZeroCount(number);

    private static void AssertExtra(IntendedGrid grid, int open, int closed)
    {
        var planner = new RoutePlanner(grid);
        foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
            foreach (RouteRule rule in (RouteRule[])[RouteRule.AnyOrder, RouteRule.BorderFirst])
            {
                StitchRoute route = planner.Plan(rule, corner);
                Blocks.AssertSound(grid, route);
                Assert.Equal(open * Blocks.CellMm, route.DitchAgainMm, ToleranceMm);
                Assert.Equal(closed * Blocks.CellMm, planner.Plan(rule, corner, backToStart: true).DitchAgainMm, ToleranceMm);
            }
    }
}
