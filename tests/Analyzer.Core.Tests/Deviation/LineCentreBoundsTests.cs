using Analyzer.Core.Deviation;

namespace Analyzer.Core.Tests.Deviation;

/// <summary>Closed forms for the line centre: external checks E1 to E6.</summary>
public sealed class LineCentreBoundsTests
{
    /// <summary>E3, checked there against a numeric root.</summary>
    [Theory]
    [InlineData(1.5, 1.5, 0.25, 0.215761554)]
    [InlineData(1.5, 1.5, 0.5, 0.519860385)]
    [InlineData(2, 1.1547005383792517, 0.2, 0.074381184)]
    [InlineData(2, 2, 0.2, 0.223143551)]
    [InlineData(1, 1, 0.1, 0.052680258)]
    public void Bias_OfAsymmetricBar_IsTheClosedForm(double w, double sigma, double a, double bias) =>
        Assert.Equal(bias, LineCentreBounds.AsymmetricBarBias(w, sigma, a), 6e-10);

    /// <summary>E4.</summary>
    [Fact]
    public void Bound_OfGaussianAndBar_IsThePublishedNumber()
    {
        Assert.Equal(0.2125, LineCentreBounds.GaussianLine(1, 5, 1), 5e-5);
        Assert.Equal(0.0672, LineCentreBounds.GaussianLine(1, 5, 10), 5e-5);
        Assert.Equal(0.0212, LineCentreBounds.GaussianLine(1, 5, 100), 6e-5);
        Assert.Equal(0.1301, LineCentreBounds.GaussianLine(1.5, 2, 25), 5e-5);
        Assert.Equal(0.0260, LineCentreBounds.GaussianLine(1.5, 10, 25), 5e-5);
        Assert.Equal(0.2239, LineCentreBounds.BlurredBar(3, 0.7, 5, 1), 5e-5);
        Assert.Equal(0.0708, LineCentreBounds.BlurredBar(3, 0.7, 5, 10), 5e-5);
    }

    /// <summary>E5, and that at σ = s it equals E4 with L = 2√π σ.</summary>
    [Fact]
    public void Noise_OfStegerCentre_IsTheClosedForm()
    {
        double[] sigma = [0.75, 1.5, 2.25, 3], expected = [0.2230, 0.1128, 0.1039, 0.1115];
        for (int i = 0; i < 4; i++) Assert.Equal(expected[i], LineCentreBounds.StegerNoise(1.5, sigma[i], 5), 5e-5);
        Assert.Equal(LineCentreBounds.GaussianLine(1.5, 5, 2 * Math.Sqrt(Math.PI) * 1.5), LineCentreBounds.StegerNoise(1.5, 1.5, 5), 1e-12);
    }

    /// <summary>E1 on an exact parabola ridge r = -(n·p - c)²/2 at an angle: the offset is the way to the crest. E2: scale w/√3.</summary>
    [Fact]
    public void StegerOffset_OfParabolaRidge_ReachesTheCrest()
    {
        const double angle = 0.7, c = 0.3;
        double nx = Math.Cos(angle), ny = Math.Sin(angle);
        (double dx, double dy) = LineCentreBounds.StegerOffset(c * nx, c * ny, -nx * nx, -nx * ny, -ny * ny)!.Value;
        Assert.Equal(c * nx, dx, 1e-12);
        Assert.Equal(c * ny, dy, 1e-12);
        Assert.Null(LineCentreBounds.StegerOffset(2 * nx, 2 * ny, -nx * nx, -nx * ny, -ny * ny));
        Assert.Equal(1.154701, LineCentreBounds.BestScale(2), 1e-6);
    }

    /// <summary>E6: n 120, 0.1 mm, 300 mm gives 0.0091 mm and 0.0060 degrees.</summary>
    [Fact]
    public void WholeLine_OfIndependentPoints_IsTheTextbookValue()
    {
        (double offset, double angle) = LineCentreBounds.WholeLine(120, 0.1, 300);
        Assert.Equal(0.0091, offset, 5e-5);
        Assert.Equal(0.0060, angle, 5e-5);
    }
}
