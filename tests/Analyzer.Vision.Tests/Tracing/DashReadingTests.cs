using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Even stitches and a print's own repeat. Truth: sines of known period and height, and noise, made here.</summary>
public sealed class DashReadingTests
{
    private const int Steps = 960;

    private static (double[] Height, double[] Weight) Series(double periodMm, double height, int seed)
    {
        var random = new Random(seed);
        return ([.. Enumerable.Range(0, Steps).Select(i => 1 + height * Math.Sin(2 * Math.PI * i * ThreadStrip.AlongStepMm / periodMm) + 0.2 * (random.NextDouble() - 0.5))], [.. Enumerable.Repeat(1.0, Steps)]);
    }

    private static double Peak(double groundPeriodMm, double groundHeight, bool inTheMiddle = false)
    {
        (double[] line, double[] weight) = Series(2.5, 0.4, 1);
        DashReading one = DashReading.Of(line, weight, new GroundNoise(0.1, 0.1, 1, [Series(groundPeriodMm, groundHeight, 2), Series(groundPeriodMm, groundHeight, 3)]));
        return DashReading.CommonPeak([(one.Rho, one.GroundRho)], one.Ratio, inTheMiddle);
    }

    [Fact]
    public void EvenStitches_OnPlainCloth_Show() => Assert.True(Peak(2.5, 0) > 0.7);

    [Fact]
    public void EvenStitches_BesideAPrintOfAnotherRepeat_Show() => Assert.True(Peak(3.7, 0.3) > 0.7);

    /// <summary>Stitches pucker the cloth beside them a little at their own distance.</summary>
    [Fact]
    public void EvenStitches_BesideClothTheyPucker_Show() => Assert.True(Peak(2.5, 0.1) > 0.7);

    [Fact]
    public void ARepeatTheGroundBesideHasToo_IsNoStitches() => Assert.True(Peak(2.5, 0.3) < 0.2);

    /// <summary>Where the line's own middle is what changes, the ground may have its repeat from a row of stitches beside.</summary>
    [Fact]
    public void ARepeatOfTheLinesOwnMiddle_ShowsBesideAnotherRow() => Assert.True(Peak(2.5, 0.3, true) > 0.7);
}
