using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Tests.Statistics;

/// <summary>External checks F12 to F14: Theil-Sen and Mann-Kendall.</summary>
public class TrendTests
{
    // F12: Hollander and Wolfe.
    [Fact]
    public void Trend_OfHollanderAndWolfe_IsPublished()
    {
        double[] x = [1, 2, 3, 4, 5], y = [1.26, 1.27, 1.12, 1.16, 1.03];
        MannKendall test = MannKendall.Of(x, y);
        Assert.Equal(-6, test.S);
        Assert.Equal(14.0 / 120, test.OneSidedP, 10);
        Assert.Equal(0.23333, test.TwoSidedP, 5);
        Assert.Equal(-1.224745, test.Z, 6);
        TheilSen line = TheilSen.Of(x, y);
        Assert.Equal(-0.05625, line.Slope, 10);
        Assert.Equal(1.32875, line.Intercept, 10);
    }

    // F13: Sen 1968.
    [Fact]
    public void TheilSen_OfSen_HasHisLimits()
    {
        TheilSen line = TheilSen.Of([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], 0.93);
        Assert.Equal(4.0, line.Slope, 10);
        Assert.Equal(26.0 / 7, line.Low, 10);
        Assert.Equal(35.0 / 8, line.High, 10);
        Assert.Equal(4.0, line.Intercept, 10);
    }

    // F14: exact upper tails of Kendall's S (Gilbert 1987; Hollander and Wolfe).
    [Theory]
    [InlineData(4, 6, 1, 24)]
    [InlineData(5, 10, 1, 120)]
    [InlineData(5, 8, 5, 120)]
    [InlineData(5, 6, 14, 120)]
    [InlineData(6, 15, 1, 720)]
    [InlineData(6, 13, 6, 720)]
    [InlineData(6, 11, 20, 720)]
    [InlineData(7, 21, 1, 5040)]
    [InlineData(7, 19, 7, 5040)]
    [InlineData(8, 28, 1, 40320)]
    [InlineData(8, 26, 8, 40320)]
    public void KendallTail_IsExact(int n, int s, int ways, int all) =>
        Assert.Equal((double)ways / all, MannKendall.UpperTail(n, s), 12);

    [Fact]
    public void FiveSessions_AreTheFewestForATrend()
    {
        Assert.True(2 * MannKendall.UpperTail(4, 6) > 0.05);
        Assert.True(2 * MannKendall.UpperTail(MannKendall.FewestForFivePercent, 10) <= 0.05);
    }
}
