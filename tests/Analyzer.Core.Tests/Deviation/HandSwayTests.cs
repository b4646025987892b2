using Analyzer.Core.Deviation;

namespace Analyzer.Core.Tests.Deviation;

/// <summary>Truth: the closed form of the Gaussian filter's transmission (ISO 16610-21) and of a wave's covariance at a lag.</summary>
public class HandSwayTests
{
    private static readonly double[] AlongMm = [.. Enumerable.Range(0, 801).Select(i => (double)i)];

    [Theory]
    [InlineData(10, 0.2)]
    [InlineData(15, 0.3)]
    [InlineData(20, 0.1)]
    public void A_wave_counts_by_what_the_filter_leaves_over(double lengthMm, double amplitudeMm)
    {
        double[] wave = [.. AlongMm.Select(s => amplitudeMm * Math.Sin(2 * Math.PI * s / lengthMm))];
        double left = 1 - Math.Pow(2, -Math.Pow(HandSway.CutOffMm / lengthMm, 2));
        double expected = amplitudeMm / Math.Sqrt(2) * left * Math.Sqrt(Math.Cos(2 * Math.PI * HandSway.LagMm / lengthMm));
        Assert.Equal(expected, HandSway.Of(AlongMm, wave)!.Value, 0.03 * expected);
    }

    [Theory]
    [InlineData(6, 0.4)]
    [InlineData(8, 0.3)]
    public void A_hand_that_has_turned_back_at_the_lag_counts_by_half_of_it(double lengthMm, double amplitudeMm)
    {
        double[] wave = [.. AlongMm.Select(s => amplitudeMm * Math.Sin(2 * Math.PI * s / lengthMm))];
        double left = 1 - Math.Pow(2, -Math.Pow(HandSway.CutOffMm / lengthMm, 2));
        double expected = amplitudeMm / Math.Sqrt(2) * left * Math.Sqrt(Math.Cos(2 * Math.PI * HandSway.LagMm / 2 / lengthMm));
        Assert.Equal(expected, HandSway.Of(AlongMm, wave)!.Value, 0.03 * expected);
    }

    [Fact]
    public void A_bow_is_no_sway()
    {
        // 1 mm of bow over 800 mm: the filter's weights have a variance of a²Lc²/2π, and a parabola is lifted by its half curvature times that, everywhere alike.
        double[] bow = [.. AlongMm.Select(s => 4 * s * (800 - s) / 640000)];
        Assert.InRange(HandSway.Of(AlongMm, bow)!.Value, 0, 0.01);
    }

    [Fact]
    public void Noise_of_single_places_is_no_sway()
    {
        var random = new Random(11);
        double[] noise = [.. AlongMm.Select(_ => 0.1 * (random.NextDouble() + random.NextDouble() + random.NextDouble() + random.NextDouble() - 2) * Math.Sqrt(3))];
        Assert.InRange(HandSway.Of(AlongMm, noise)!.Value, 0, 0.035);
    }

    [Fact]
    public void A_short_line_has_none() => Assert.Null(HandSway.Of([.. AlongMm.Take(40)], [.. AlongMm.Take(40)]));
}
