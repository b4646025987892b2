using Analyzer.Core.Geometry;

namespace Analyzer.Core.Tests.Geometry;

/// <summary>Brown-Conrady lens against the published OpenCV sample intrinsics (C5) and parallax of loft (C10).</summary>
public sealed class LensModelTests
{
    private static readonly LensModel Lens = new(535.91573396163199, 535.91573396163199, 342.28315473308373, 235.57082909788173,
        -0.26637260909660682, -0.038588898922304653, 0.0017831947042852964, -0.00028122100441115472, 0.23839153080878486);

    /// <summary>C5, OpenCV and a hand formula agree to the last bit; and the way back.</summary>
    [Theory]
    [InlineData(0.3, -0.2, 497.3084554430285, 132.3318004981365)]
    [InlineData(-0.25, 0.35, 214.6673204639267, 414.3707567758742)]
    [InlineData(0.5, 0.4, 583.8861201867546, 429.2944478509062)]
    public void Lens_ForwardAndBack_MatchesOpenCv(double x, double y, double u, double v)
    {
        PhotoPoint p = Lens.Project(x, y);
        Assert.Equal(u, p.X, 1e-10);
        Assert.Equal(v, p.Y, 1e-10);
        (double bx, double by) = Lens.Unproject(p);
        Assert.Equal(x, bx, 1e-12);
        Assert.Equal(y, by, 1e-12);
    }

    /// <summary>C10: h 1.5 mm, r 150 mm: 0.56, 0.38, 0.23 mm at camera heights 400, 600, 1000 mm (two digits printed).</summary>
    [Theory]
    [InlineData(400, 0.56)]
    [InlineData(600, 0.38)]
    [InlineData(1000, 0.23)]
    public void Parallax_OfLoft_IsThePublishedShift(double cameraHeightMm, double shiftMm) =>
        Assert.Equal(shiftMm, LoftParallax.ShiftMm(1.5, 150, cameraHeightMm), 0.0055);
}
