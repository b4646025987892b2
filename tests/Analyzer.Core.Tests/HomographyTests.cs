using Analyzer.Core.Geometry;

namespace Analyzer.Core.Tests;

public sealed class HomographyTests
{
    /// <summary>External check C3, exact by hand.</summary>
    [Fact]
    public void Homography_OfUnitSquare_MapsCentreExactly()
    {
        Homography h = Homography.FromFourPoints([(0, 0), (1, 0), (1, 1), (0, 1)], [(0, 0), (4, 0), (3, 3), (1, 3)]);
        (double x, double y) = h.Map(0.5, 0.5);
        Assert.Equal(2, x, 12);
        Assert.Equal(2, y, 12);
    }
}
