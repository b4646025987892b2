using Analyzer.Core.Deviation;

namespace Analyzer.Core.Tests.Deviation;

/// <summary>ISO 16610-21 (external check A4) and the range constant d2 (A5).</summary>
public sealed class GaussianProfileFilterTests
{
    /// <summary>A4: 0.5 at the cut-off, 0.0625 at half of it, 0.840896415 at twice. The kernel is cut at ± Lc, which leaves 1e-6.</summary>
    [Theory]
    [InlineData(1.0, 0.5)]
    [InlineData(0.5, 0.0625)]
    [InlineData(2.0, 0.840896415)]
    public void Filter_OfCosine_KeepsTheStandardsShare(double wavelengthInCutOffs, double share)
    {
        const double cutOff = 8, truncation = 5e-6;
        Assert.Equal(share, GaussianProfileFilter.Transmission(cutOff, cutOff * wavelengthInCutOffs), 1e-9);
        double[] x = [.. Enumerable.Range(-400, 801).Select(i => i * 0.1)];
        double[] y = [.. x.Select(v => Math.Cos(2 * Math.PI * v / (cutOff * wavelengthInCutOffs)))];
        Assert.Equal(share, GaussianProfileFilter.Smooth(x, y, cutOff)[400], truncation);
        Assert.Equal(0.469718639, GaussianProfileFilter.A, 1e-9);
    }

    /// <summary>Invariant: a straight profile is its own mean line, at the ends and beside gaps too.</summary>
    [Fact]
    public void Filter_OfStraightLineWithGap_LeavesItUnchanged()
    {
        double[] x = [.. Enumerable.Range(0, 100).Where(i => i is < 40 or > 57).Select(i => i + 0.2 * (i % 3))];
        double[] y = [.. x.Select(v => 0.4 - 0.01 * v)];
        double[] smooth = GaussianProfileFilter.Smooth(x, y, 10);
        for (int i = 0; i < x.Length; i++) Assert.Equal(y[i], smooth[i], 1e-10);
    }

    /// <summary>A5: control-chart constant d2, published to three decimals.</summary>
    [Theory]
    [InlineData(2, 1.128)]
    [InlineData(5, 2.326)]
    [InlineData(10, 3.078)]
    [InlineData(20, 3.735)]
    [InlineData(25, 3.931)]
    [InlineData(50, 4.498)]
    [InlineData(100, 5.015)]
    [InlineData(200, 5.492)]
    [InlineData(500, 6.073)]
    public void ExpectedRange_OfNormalDeviations_IsTheControlChartConstant(int n, double d2) =>
        Assert.Equal(d2, ExpectedRange.D2(n), 6e-4);
}
