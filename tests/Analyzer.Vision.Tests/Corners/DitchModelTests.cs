using Analyzer.Vision.Corners;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Truth: analytic. A profile is made of a step, a furrow and flanks about a known centre.</summary>
public class DitchModelTests
{
    private const double StepMm = 0.1;

    private static double[][] Profile(double centreMm, double step, double furrow, double flanks) => [.. new[] { 1.0, 0.4, -0.3 }.Select(channel => Enumerable.Range(-14, 29).Select(k =>
    {
        double x = k * StepMm - centreMm, g = Math.Exp(-x * x / (2 * 0.25 * 0.25));
        return channel * (100 + step * Math.Tanh(x / 0.15) + furrow * g + flanks * x / 0.25 * g);
    }).ToArray())];

    private static (double CentreMm, double UMm) Centre(double[][] profile) => new DitchModel(profile[0].Length / 2, StepMm).Centre(profile);

    /// <summary>The step here is not of the shape the model has, as in a photo.</summary>
    [Theory]
    [InlineData(0, 20, -15)]
    [InlineData(0.25, 20, -15)]
    [InlineData(-0.4, 0, -30)]
    [InlineData(0.1, -30, -10)]
    public void Centre_OfAFurrowUnderEvenLight_LiesWithinOneStandardUncertainty(double centreMm, double step, double furrow)
    {
        (double at, double u) = Centre(Profile(centreMm, step, furrow, 0));
        Assert.InRange(at, centreMm - SideFit.DitchUMm, centreMm + SideFit.DitchUMm);
        Assert.True(u < SideFit.DitchUMm, $"u {u:0.000} mm");
    }

    /// <summary>With what is always stated of a ditch in its profile.</summary>
    [Theory]
    [InlineData(0, 0, -20, 12)]
    [InlineData(0.2, 5, -20, -12)]
    [InlineData(0, 15, -20, 20)]
    public void Centre_UnderLightFromOneSide_LiesWithinItsUncertainty(double centreMm, double step, double furrow, double flanks)
    {
        (double at, double u) = Centre(Profile(centreMm, step, furrow, flanks));
        Assert.True(Math.Abs(at - centreMm) < 2 * Math.Sqrt((u * u) + (SideFit.DitchUMm * SideFit.DitchUMm)), $"{at - centreMm:0.000} mm off, u {u:0.000} mm");
    }
}
