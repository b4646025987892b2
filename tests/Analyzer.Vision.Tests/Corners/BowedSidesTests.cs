using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>What bowed sides do to the places within them, against a lens worked out in full.</summary>
public sealed class BowedSidesTests
{
    private static readonly BlockSize s_size = new(200, 150);

    /// <summary>
    /// The radial lens r·(1 + k1·r²) (Brown, Photogrammetric Engineering 37, 1971; first term) in front of a flat block, the corners put back by a homography as the analyzer does:
    /// what the sides' bows foretell is what the lens does, everywhere, to 2 % of the largest bow.
    /// </summary>
    [Theory]
    [InlineData(-2e-6)]
    [InlineData(3e-6)]
    public void BowsOfALens_TellWhereEveryPlaceLies(double k1PerMm2)
    {
        Homography back = Homography.FromFourPoints([.. s_size.Corners().Select(p => Lens(p.Xmm, p.Ymm))], [.. s_size.Corners().Select(p => (p.Xmm, p.Ymm))]);
        (double X, double Y) Seen(double x, double y)
        {
            (double px, double py) = Lens(x, y);
            return back.Map(px, py);
        }
        (double X, double Y) Lens(double x, double y)
        {
            double fromX = x - s_size.WidthMm / 2, fromY = y - s_size.HeightMm / 2, grows = 1 + k1PerMm2 * (fromX * fromX + fromY * fromY);
            return (fromX * grows, fromY * grows);
        }
        double[] bows = [-Seen(100, 0).Y, Seen(200, 75).X - 200, Seen(100, 150).Y - 150, -Seen(0, 75).X];
        double largest = bows.Max(Math.Abs), farthest = 0;
        Assert.InRange(largest, 1, 4);
        for (double x = 0; x <= s_size.WidthMm; x += 10)
            for (double y = 0; y <= s_size.HeightMm; y += 10)
            {
                (double sx, double sy) = Seen(x, y);
                farthest = Math.Max(farthest, Math.Abs(sx - x - BowedSides.AcrossMm(bows, s_size, x, y, 1, 0)));
                farthest = Math.Max(farthest, Math.Abs(sy - y - BowedSides.AcrossMm(bows, s_size, x, y, 0, 1)));
            }
        Assert.InRange(farthest, 0, 0.02 * largest);
    }

    /// <summary>One drawn-in side is no lens: the lines beside it are drawn in with it, the ones at the opposite side are not, and none are moved along it.</summary>
    [Fact]
    public void OneDrawnInSide_MovesOnlyWhatIsNearIt()
    {
        double[] bows = [-2, 0, 0, 0];
        Assert.Equal(2, BowedSides.AcrossMm(bows, s_size, 100, 0, 0, 1), 12);
        Assert.Equal(1, BowedSides.AcrossMm(bows, s_size, 100, 75, 0, 1), 12);
        Assert.Equal(0, BowedSides.AcrossMm(bows, s_size, 100, 150, 0, 1), 12);
        Assert.Equal(0, BowedSides.AcrossMm(bows, s_size, 0, 40, 0, 1), 12);
        Assert.Equal(0, BowedSides.AcrossMm(bows, s_size, 50, 40, 1, 0), 12);
    }

    [Fact]
    public void SidesThatWereNotSeen_CountAsStraight()
    {
        Assert.Equal([0, 0, 0, 0], BowedSides.Of([]));
        Assert.Equal([1.5, 0, 0.5, 0], BowedSides.Of([Side(1.5), Side(double.NaN), Side(0.5), Side(0)]));

        static SideReading Side(double bowMm) => new("side", bowMm, 0.1, 0.1, 1);
    }
}
