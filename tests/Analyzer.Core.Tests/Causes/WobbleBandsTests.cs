using Analyzer.Core.Causes;
using Analyzer.Core.Deviation;

namespace Analyzer.Core.Tests.Causes;

/// <summary>The report's bands of wobble against external checks G3 and G4.</summary>
public sealed class WobbleBandsTests
{
    /// <summary>A cubic takes a little of eight waves of 32 mm: orthogonal polynomials up to degree 3 leave 0.0437826 of 0.045 mm² (Gram-Schmidt, worked out apart). What one band leaks into another is less than 1 % of the whole.</summary>
    private const double LeftOfLongMm2 = 0.0437826, Leak = 0.01 * 0.05125;

    /// <summary>
    /// G3: steps of 0.5 mm, 512 samples, 0.30 mm at 32 mm, 0.10 mm at 8 mm, 0.05 mm at 2 mm; variance 0.05125 mm². G4: with 11 stitches to the inch (2.309 mm) nothing
    /// shorter than 4.62 mm is steering, so the waves of 2 mm count with none of the three bands.
    /// </summary>
    [Fact]
    public void Bands_OfThreeSines_HoldOneSineEach()
    {
        double[] x = [.. Enumerable.Range(0, 512).Select(i => i * 0.5)], sigma = [.. x.Select(_ => 1e-6)];
        // The wave of 8 mm lies on the border of two bands there; a tenth shorter it is in the short one.
        foreach ((double middleMm, int band) in new[] { (10.0, 1), (7.2, 2) })
        {
            double[] y = [.. x.Select(s => 0.30 * Math.Sin(2 * Math.PI * s / 32 + 0.4) + 0.10 * Math.Sin(2 * Math.PI * s / middleMm + 1.1) + 0.05 * Math.Sin(2 * Math.PI * s / 2))];
            WobbleBands b = WobbleBands.Of(x, y, sigma, new NoiseCorrelation(0), stitchLengthMm: 25.4 / 11);
            Assert.Equal(LeftOfLongMm2, b.LongWaves, Leak);
            double[] others = [b.MiddleWaves, b.ShortWaves];
            Assert.Equal(0.005, others[band - 1], Leak);
            Assert.Equal(0, others[2 - band], Leak);
            Assert.Equal(0.00125, b.FinerWaves, 0.05 * 0.00125);
            Assert.Equal(0.05125 - 0.045 + LeftOfLongMm2, b.LongWaves + b.MiddleWaves + b.ShortWaves + b.FinerWaves, Leak);
        }
    }

    /// <summary>G4: the same wave of 4 mm is steering where stitches are 1.8 mm long and thread shape where they are 2.3 mm long.</summary>
    [Theory]
    [InlineData(1.8, true)]
    [InlineData(2.3, false)]
    public void WaveOfFourMillimetres_IsSteeringOnlyWithShortStitches(double stitchMm, bool isSteering)
    {
        double[] x = [.. Enumerable.Range(0, 512).Select(i => i * 0.5)], sigma = [.. x.Select(_ => 1e-6)];
        WobbleBands b = WobbleBands.Of(x, [.. x.Select(s => 0.1 * Math.Cos(2 * Math.PI * s / 4))], sigma, new NoiseCorrelation(0), stitchMm);
        Assert.Equal(0.005, isSteering ? b.ShortWaves : b.FinerWaves, 0.05 * 0.005);
        Assert.Equal(0, isSteering ? b.FinerWaves : b.ShortWaves, 0.05 * 0.005);
    }
}
