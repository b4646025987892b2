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
        var sides = new BowedSides(s_size, bows);
        double largest = bows.Max(Math.Abs), farthest = 0;
        Assert.InRange(largest, 1, 4);
        for (double x = 0; x <= s_size.WidthMm; x += 10)
            for (double y = 0; y <= s_size.HeightMm; y += 10)
            {
                (double sx, double sy) = Seen(x, y);
                farthest = Math.Max(farthest, Math.Abs(sx - x - sides.AcrossMm(x, y, 1, 0)));
                farthest = Math.Max(farthest, Math.Abs(sy - y - sides.AcrossMm(x, y, 0, 1)));
            }
        Assert.InRange(farthest, 0, 0.02 * largest);
    }

    /// <summary>One drawn-in side is no lens: what lies at it is drawn in with it, half as much half way across, not at all at the opposite side, and nothing along it.</summary>
    [Theory]
    [InlineData(0, 100, 0, 0, 1)]
    [InlineData(1, 200, 75, -1, 0)]
    [InlineData(2, 100, 150, 0, -1)]
    [InlineData(3, 0, 75, 1, 0)]
    public void OneDrawnInSide_MovesOnlyWhatIsNearIt(int side, double xMm, double yMm, double inX, double inY)
    {
        var bows = new double[4];
        bows[side] = -2;
        var sides = new BowedSides(s_size, bows);
        Assert.Equal(2, sides.AcrossMm(xMm, yMm, inX, inY), 12);
        Assert.Equal(-2, sides.OutwardMm(side, xMm, yMm), 12);
        Assert.Equal(1, sides.AcrossMm(100, 75, inX, inY), 12);
        Assert.Equal(0, sides.AcrossMm(s_size.WidthMm - xMm, s_size.HeightMm - yMm, inX, inY), 12);
        Assert.Equal(0, sides.AcrossMm(100, 75, inY, inX), 12);
        Assert.Equal(2 * 0.75, sides.AcrossMm(xMm + 50 * Math.Abs(inY), yMm + 37.5 * Math.Abs(inX), inX, inY), 12);
    }

    [Fact]
    public void SidesThatWereNotFound_CountAsStraight()
    {
        Assert.True(BowedSides.Of(s_size, []).IsStraight);
        BowedSides sides = BowedSides.Of(s_size, [Side(1.5), Side(double.NaN), Side(0.5), Side(0)]);
        Assert.False(sides.IsStraight);
        Assert.Equal([1.5, 0, 0.5, 0], Enumerable.Range(0, 4).Select(k => sides.OutwardMm(k, 100, 75)));
        // Three that bow the same way still show the lens: a quarter of the way from the middle to a side what lies between moves too.
        BowedSides three = BowedSides.Of(s_size, [Side(2), Side(double.NaN), Side(2), Side(1.5)]);
        Assert.True(three.AcrossMm(150, 0, 1, 0) > 0.5);

        static SideReading Side(double bowMm) => new("side", bowMm, 0.1, 0.1, 1);
    }
}
