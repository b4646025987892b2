using Analyzer.Core.Geometry;

namespace Analyzer.Core.Tests.Geometry;

/// <summary>Four-point homography: external checks C1 to C4.</summary>
public sealed class HomographyTests
{
    private static void Rows(Homography h, double relative, params double[] expected)
    {
        for (int i = 0; i < 9; i++) Assert.Equal(expected[i], h.Rows[i], relative * Math.Abs(expected[i]));
    }

    /// <summary>C1, OpenCV Python tutorial points; twelve digits printed.</summary>
    [Fact]
    public void Homography_OfOpenCvTutorial_HasThePublishedMatrix()
    {
        Homography h = Homography.FromFourPoints([(56, 65), (368, 52), (28, 387), (389, 390)], [(0, 0), (300, 0), (0, 300), (300, 300)]);
        Rows(h, 1e-9, 1.0558737613, 0.0918151096779, -65.0969127617, 0.0469010049375, 1.1256241185, -75.7920239791, 0.00018325144817, 0.00051333700133, 1);
        (double x, double y) = h.Map(206.112809888, 211.506496141);
        Assert.Equal(150, x, 1e-5);
        Assert.Equal(150, y, 1e-5);
    }

    /// <summary>C2, scikit-image gallery text rectification.</summary>
    [Fact]
    public void Homography_OfScikitImageGallery_HasThePublishedMatrix()
    {
        Homography h = Homography.FromFourPoints([(0, 0), (0, 50), (300, 50), (300, 0)], [(155, 15), (65, 40), (260, 130), (360, 95)]);
        Rows(h, 1e-9, 0.467219589258, -1.85339652449, 155, 0.209636650869, 0.467140600316, 15, -0.000600315955766, -0.000821484992101, 1);
        (double x, double y) = h.Map(150, 25);
        Assert.Equal(200.97246892, x, 1e-7);
        Assert.Equal(65.35079929, y, 1e-7);
    }

    /// <summary>C3, exact by hand.</summary>
    [Fact]
    public void Homography_OfUnitSquare_IsExact()
    {
        Homography h = Homography.FromFourPoints([(0, 0), (1, 0), (1, 1), (0, 1)], [(0, 0), (4, 0), (3, 3), (1, 3)]);
        double[] expected = [4, 2, 0, 0, 6, 0, 0, 1, 1];
        for (int i = 0; i < 9; i++) Assert.Equal(expected[i], h.Rows[i], 1e-12);
        Assert.Equal((2, 2), Rounded(h.Map(0.5, 0.5)));
        Assert.Equal((2, 1.2), Rounded(h.Map(0.5, 0.25)));
        static (double, double) Rounded((double X, double Y) p) => (Math.Round(p.X, 12), Math.Round(p.Y, 12));
    }

    /// <summary>C4: the cross-ratio of four collinear points is 2 before and after.</summary>
    [Fact]
    public void Homography_OfCollinearPoints_KeepsTheCrossRatio()
    {
        Homography h = Homography.FromFourPoints([(0, 0), (1, 0), (1, 1), (0, 1)], [(0, 0), (4, 0), (3, 3), (1, 3)]);
        (double X, double Y)[] p = [.. new[] { 0, 1.0 / 3, 0.5, 1 }.Select(t => h.Map(0.1 + 0.7 * t, 0.2 + 0.6 * t))];
        double D(int i, int j) => Math.Sqrt(Math.Pow(p[i].X - p[j].X, 2) + Math.Pow(p[i].Y - p[j].Y, 2));
        Assert.Equal(2, D(0, 2) * D(1, 3) / (D(1, 2) * D(0, 3)), 1e-12);
    }

    /// <summary>C7: the outer corners of the chessboard in left01.jpg of the OpenCV samples (four decimals) onto 200 x 125 mm; matrix to nine digits and more.</summary>
    [Fact]
    public void Homography_OfTheFirstChessboardView_HasThePublishedMatrix()
    {
        Homography h = Homography.FromFourPoints(
            [(244.4274, 94.1646), (513.7905, 86.5479), (510.3763, 266.2278), (248.8261, 253.6117)], [(0, 0), (200, 0), (200, 125), (0, 125)]);
        // The corners are printed to 0.00005 px of some 250, which is a share of 2e-7; the small entries of the first column are differences of large ones.
        Rows(h, 2e-5, 0.92963017, -0.025646158, -224.8121232, 0.023896386, 0.845085891, -85.41814203, 0.000527241880, -0.000206532765, 1);
    }

    /// <summary>Invariant: there and back; and the Jacobian against a small step.</summary>
    [Fact]
    public void Homography_ThereAndBack_ReturnsThePoint()
    {
        Homography h = Homography.FromFourPoints([(56, 65), (368, 52), (28, 387), (389, 390)], [(0, 0), (300, 0), (0, 300), (300, 300)]);
        (double x, double y) = h.Map(200, 100);
        (double bx, double by) = h.Inverse().Map(x, y);
        Assert.Equal(200, bx, 1e-9);
        Assert.Equal(100, by, 1e-9);
        Assert.Equal((h.Map(200.001, 100).X - x) / 0.001, h.Jacobian(200, 100).Xx, 1e-5);
    }

    [Fact]
    public void Homography_OfThreePointsOnOneLine_IsRefused() =>
        Assert.Throws<ArgumentException>(() => Homography.FromFourPoints([(0, 0), (1, 1), (2, 2), (0, 5)], [(0, 0), (1, 0), (1, 1), (0, 1)]));
}
