using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tests.Stitches;

/// <summary>Truth is by construction: lines are placed by hand.</summary>
public sealed class LineAssignmentTests
{
    private static readonly IntendedGrid Grid = new(new BlockSize(200, 200), [new LineFamily(0, 25, new BlockPoint(0, 200))]);

    private static HoughLine Seen(double acrossMm, double strength = 20) => new(acrossMm, 100, 0, strength, 200);

    [Fact]
    public void Assignment_OfLineFourTenthsOff_DoesNotSwapNeighbours()
    {
        GridLine[] lines = [.. Grid.Lines];
        double[] true_ = [.. lines.Select(l => l.From.Ymm)];
        true_[3] += 0.4 * 25;
        HoughLine?[] pairs = LineAssignment.Assign(lines, Grid.Families[0], [.. true_.Select(y => Seen(y))]);
        for (int i = 0; i < lines.Length; i++) Assert.Equal(true_[i], pairs[i]!.AcrossMm);
    }

    [Fact]
    public void Assignment_OfMissingLine_LeavesItsPlaceEmpty()
    {
        GridLine[] lines = [.. Grid.Lines];
        HoughLine?[] pairs = LineAssignment.Assign(lines, Grid.Families[0], [.. lines.Where((_, i) => i != 2).Select(l => Seen(l.From.Ymm + 1))]);
        Assert.Null(pairs[2]);
        Assert.Equal(lines.Length - 1, pairs.Count(p => p is not null));
    }

    [Fact]
    public void Assignment_OfExtraLineMidway_KeepsTheLineInItsPlace()
    {
        GridLine[] lines = [.. Grid.Lines];
        HoughLine[] seen = [.. lines.Select(l => Seen(l.From.Ymm + 0.3)), Seen(lines[2].From.Ymm + 11)];
        HoughLine?[] pairs = LineAssignment.Assign(lines, Grid.Families[0], seen);
        Assert.All(lines.Zip(pairs), x => Assert.Equal(x.First.From.Ymm + 0.3, x.Second!.AcrossMm, 9));
    }

    [Fact]
    public void Assignment_OfWeakLineInPlace_YieldsToStrongLineNearby()
    {
        GridLine[] lines = [.. Grid.Lines];
        double y = lines[2].From.Ymm;
        HoughLine?[] pairs = LineAssignment.Assign([lines[2]], Grid.Families[0], [Seen(y, 3), Seen(y + 4, 30)]);
        Assert.Equal(y + 4, pairs[0]!.AcrossMm);
    }

    /// <summary>A stripe's edge that runs another way shows as a line tilted to the end of the angle window; a grid that is turned as a whole keeps all its lines.</summary>
    [Fact]
    public void Assignment_PrefersTheLevelLine_ToAnEdgeTiltedAcross()
    {
        GridLine[] lines = [.. Grid.Lines];
        double y = lines[2].From.Ymm;
        HoughLine edge = Seen(y + 3, 22) with { Slope = HoughLines.SteepestSlope };
        HoughLine?[] pairs = LineAssignment.Assign([lines[2]], Grid.Families[0], [Seen(y, 19), edge]);
        Assert.Equal(y, pairs[0]!.AcrossMm);
        HoughLine[] turned = [.. lines.Select(l => Seen(l.From.Ymm) with { Slope = HoughLines.SteepestSlope })];
        Assert.All(LineAssignment.Assign(lines, Grid.Families[0], turned), Assert.NotNull);
    }
}
