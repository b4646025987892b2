using Analyzer.Vision.Learnt;

namespace Analyzer.Vision.Tests.Learnt;

/// <summary>Reading what the net says about a strip: invented log odds, places worked out by hand.</summary>
public sealed class SightStripTests
{
    private static SightStrip Strip(Func<double, double, double> odds, double middleMm = 0) => InventedStrip.Of(180, odds, middleMm);

    [Theory]
    [InlineData(10, 0.5)]
    [InlineData(33.1, -1.234)]
    [InlineData(50, 2.9)]
    public void At_BetweenCells_IsBilinear(double along, double deviation) =>
        Assert.Equal(0.05 * along - 0.7 * deviation, Strip((s, u) => 0.05 * s - 0.7 * u, 1).At(along, deviation), 4);

    [Fact]
    public void At_BeyondTheRim_IsSurelyNoThread()
    {
        SightStrip strip = Strip((_, _) => 3);
        Assert.Equal(3, strip.At(30, 0), 4);
        Assert.Equal(-SightStrip.Sure, strip.At(30, 5), 4);
        Assert.Equal(-SightStrip.Sure, strip.At(30, -5), 4);
    }

    /// <summary>The course with most of thread is followed as it wanders, not a straight one that is seen nearly as well.</summary>
    [Fact]
    public void Path_FollowsTheThread_NotTheStraightMarkBesideIt()
    {
        static double Thread(double s) => 0.9 + 0.5 * Math.Sin(s / 9);
        SightStrip strip = Strip((s, u) => Math.Max(Ridge(u - Thread(s), 2), Ridge(u + 0.6, 1.2)));
        SightPath path = strip.Path(3);
        Assert.Equal(1, path.SeenShare, 2);
        Assert.All(Enumerable.Range(2, 56), mm => Assert.InRange(At(path, mm) - Thread(mm), -0.25, 0.25));

        // Between the cells about a place.
        static double At(SightPath path, double along)
        {
            int cell = (int)(along / SightStrip.CellMm - 0.5);
            double part = along / SightStrip.CellMm - 0.5 - cell;
            return (1 - part) * path.DeviationMm[cell] + part * path.DeviationMm[cell + 1];
        }

        static double Ridge(double off, double height) => -4 + (4 + height) * Math.Exp(-0.5 * off * off / 0.09);
    }

    /// <summary>No farther from the middle than is asked for: beyond lies the neighbour's thread.</summary>
    [Fact]
    public void Path_StaysWithinItsReach()
    {
        SightPath path = Strip((_, u) => u > 2 ? 5 : -1).Path(1.5);
        Assert.All(path.DeviationMm, d => Assert.InRange(d, -1.5, 1.5));
        Assert.Equal(0, path.SeenShare);
        Assert.Equal(-1, path.MeanLogOdds, 5);
    }
}
