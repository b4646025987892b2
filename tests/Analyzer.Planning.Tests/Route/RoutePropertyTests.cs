using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;

namespace Analyzer.Planning.Tests.Route;

/// <summary>What must hold of every route whatever the block (invariants, seeded random blocks).</summary>
public sealed class RoutePropertyTests
{
    private const double MirrorToleranceMm = 2;

    [Fact]
    public void EveryRoute_OfRandomBlocks_IsSound()
    {
        var random = new Random(20);
        int made = 0;
        while (made < 150)
        {
            if (Blocks.Random(random, 300) is not { } grid) continue;
            made++;
            var planner = new RoutePlanner(grid);
            foreach (RouteRule rule in Enum.GetValues<RouteRule>())
            {
                StitchRoute route = planner.Plan(rule, (BlockCorner)random.Next(4));
                Blocks.AssertSound(grid, route);
                if (rule != RouteRule.LinesOnly)
                    Assert.True(route.StartPoint.DistanceTo(planner.Ring.Point(planner.Ring.CornerNode(route.Start))) < 1e-9);
            }
        }
    }

    /// <summary>Each freedom can only help: any order travels no more than border first, border first no more than the last family last.</summary>
    [Fact]
    public void MoreFreedom_NeverTravelsMore()
    {
        var random = new Random(21);
        for (int made = 0; made < 100;)
        {
            if (Blocks.Random(random, 200) is not { } grid) continue;
            made++;
            var planner = new RoutePlanner(grid);
            foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
            {
                double any = planner.Plan(RouteRule.AnyOrder, corner).DitchAgainMm;
                double border = planner.Plan(RouteRule.BorderFirst, corner).DitchAgainMm;
                double habit = planner.Plan(RouteRule.BorderThenLastFamily, corner).DitchAgainMm;
                Assert.True(any <= border + 1e-6 && border <= habit + 1e-6, $"{any} {border} {habit}");
            }
        }
    }

    /// <summary>A mirrored block is the same problem: the start corner mirrors and the travel stays.</summary>
    /// <remarks>Line ends within half a millimetre are one point, and which of them stays differs when mirrored: hence the tolerance.</remarks>
    [Fact]
    public void MirroredBlock_TravelsTheSame()
    {
        var random = new Random(22);
        for (int made = 0; made < 60;)
        {
            if (Blocks.Random(random, 120) is not { } grid) continue;
            made++;
            double w = grid.Size.WidthMm;
            var mirrored = new IntendedGrid(grid.Size, grid.Families.Select(f => new LineFamily(-f.AngleDeg, f.SpacingMm, new(w - f.Through.Xmm, f.Through.Ymm))));
            if (mirrored.Lines.Count != grid.Lines.Count) continue;
            foreach (RouteRule rule in (RouteRule[])[RouteRule.AnyOrder, RouteRule.BorderFirst, RouteRule.BorderThenLastFamily])
                Assert.Equal(
                    new RoutePlanner(grid).Plan(rule, BlockCorner.LowerLeft).DitchAgainMm,
                    new RoutePlanner(mirrored).Plan(rule, BlockCorner.LowerRight).DitchAgainMm,
                    MirrorToleranceMm);
        }
    }
}
