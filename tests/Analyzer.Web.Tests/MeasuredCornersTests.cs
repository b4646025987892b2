using Analyzer.Core.Geometry;
using Analyzer.Core.Report;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Tests;

/// <summary>The corners shown are those that were measured by, also where the stitched lines asked for another one while measuring.</summary>
public sealed class MeasuredCornersTests
{
    private static readonly FoundCorners s_shown = new([new(10, 10), new(110, 10), new(110, 110), new(10, 110)], 1, "high", []);

    [Theory]
    [InlineData(0.2, true)]
    [InlineData(25, false)]
    public void CornersThatMovedWhileMeasuring_AreNotThoseShown(double movedPx, bool areShown)
    {
        var block = new BlockInfo(100, 100, [[10, 10], [110, 10 + movedPx], [110, 110], [10, 110]], "found", 1, 1);
        Assert.Equal(areShown, BlockWork.AreShown(s_shown, block));
        Assert.False(BlockWork.AreShown(s_shown with { Points = null }, block));
    }
}
