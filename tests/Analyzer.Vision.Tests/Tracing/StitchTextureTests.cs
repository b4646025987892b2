using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

public sealed class StitchTextureTests
{
    private static double[] Profile(Func<double, double> change) =>
        [.. Enumerable.Range(0, StitchTexture.Length).Select(k => 1 + change((k - StitchTexture.Half) * ThreadStrip.AcrossStepMm))];

    /// <summary>Thread and the shadow its stitches throw change in two humps: the band is both, its centre between them.</summary>
    [Fact]
    public void Band_OfTwoHumps_LiesBetweenThem()
    {
        (double height, double centre, _, double onLine) = StitchTexture.Band([Profile(u => 2 * PaintedThread.Bell(u + 0.5, 0.15) + 2 * PaintedThread.Bell(u + 0.1, 0.15))])!.Value;
        Assert.InRange(height, 1.9, 2.2);
        Assert.Equal(-0.3, centre, 2);
        Assert.InRange(onLine, 0.6, 0.95);
    }

    /// <summary>A change that has no end within the profile is no band of its own: print, or a mark beside.</summary>
    [Fact]
    public void Band_ThatRunsOut_IsNone() => Assert.Null(StitchTexture.Band([Profile(u => 1 + u)]));

    [Fact]
    public void Band_OfNoChange_IsNone() => Assert.Null(StitchTexture.Band([Profile(_ => -0.01)]));

    /// <summary>A band as broad as a thread adds no doubt; one twice as broad does, and one beside the line too.</summary>
    [Fact]
    public void BandUMm_GrowsWithBreadthAndOffset()
    {
        double thread = StitchTexture.BandUMm([Profile(u => 2 * PaintedThread.Bell(u, 0.2))]), broad = StitchTexture.BandUMm([Profile(u => 2 * PaintedThread.Bell(u + 0.3, 0.25) + 2 * PaintedThread.Bell(u - 0.3, 0.25))]), beside = StitchTexture.BandUMm([Profile(u => 2 * PaintedThread.Bell(u - 0.2, 0.2))]);
        Assert.InRange(thread, 0, 0.01);
        Assert.InRange(broad, 0.05, 0.2);
        Assert.Equal(thread + 0.1, beside, 2);
        Assert.Equal(0, StitchTexture.BandUMm([Profile(u => 0.3 * PaintedThread.Bell(u - 0.2, 0.2))]));
    }

    /// <summary>A faint thread whose stitches change the cloth beside its apparent middle is moved half way; a clear thread, and one in even light, stays where it is seen.</summary>
    [Theory]
    [InlineData(6, 0.5, 0.1)]
    [InlineData(11, 0.5, 0.05)]
    [InlineData(20, 0.5, 0)]
    [InlineData(6, 0, 0)]
    [InlineData(double.NaN, 0.5, 0)]
    public void LeanMm_IsOfFaintThreadsInSideLight(double contrast, double shadowShare, double expectedMm) =>
        Assert.Equal(expectedMm, StitchTexture.LeanMm([Profile(u => 2 * PaintedThread.Bell(u - 0.2, 0.2))], contrast, shadowShare), 2);

    [Fact]
    public void LeanMm_IsNeverFar() => Assert.InRange(StitchTexture.LeanMm([Profile(u => 2 * PaintedThread.Bell(u - 0.8, 0.2))], 4, 1), 0.1, 0.15);

    [Fact]
    public void LeanMm_OfAFaintBand_IsNone() => Assert.Equal(0, StitchTexture.LeanMm([Profile(u => 0.8 * PaintedThread.Bell(u - 0.2, 0.2))], 4, 1));
}
