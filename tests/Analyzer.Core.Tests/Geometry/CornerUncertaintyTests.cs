using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Tests.Geometry;

/// <summary>Corner error transfer: external check C9 and a Monte Carlo of its own.</summary>
public sealed class CornerUncertaintyTests
{
    /// <summary>C9: 300 mm square, 0.5 mm per coordinate: 0.35 at the centre, 0.35 to 0.43 at edge midpoints, 0.50 at corners (Monte Carlo of 4000, two digits).</summary>
    [Fact]
    public void Place_OfSquareWithUncertainCorners_HasThePublishedSpread()
    {
        const double printed = 0.01;
        CornerUncertainty u = CornerUncertainty.OfMillimetres(new BlockSize(300, 300), 0.5);
        Covariance2 centre = u.At(new BlockPoint(150, 150)), edge = u.At(new BlockPoint(150, 0)), corner = u.At(new BlockPoint(300, 300));
        Assert.Equal(0.35, Math.Sqrt(centre.Xx), printed);
        Assert.Equal(0.35, Math.Sqrt(centre.Yy), printed);
        Assert.Equal([0.35, 0.43], new[] { Math.Sqrt(edge.Xx), Math.Sqrt(edge.Yy) }.Order().Select(v => Math.Round(v, 2)));
        Assert.Equal(0.50, Math.Sqrt(corner.Xx), 1e-9);
        Assert.Equal(0.50, Math.Sqrt(corner.Yy), 1e-9);
    }

    /// <summary>A corner that may lie anywhere over 3 mm is uncertain by 3/√3 mm there (JCGM 100, 4.3.7: a rectangular chance), and as sure as before at the corner opposite.</summary>
    [Fact]
    public void PlaceBesideACornerThatMayHaveMoved_IsLessSure()
    {
        CornerUncertainty u = CornerUncertainty.OfMillimetres(new BlockSize(300, 300), 0.1), wider = u.OrMovedBy([0, 0, 3, 0, 0, 0, 0, 0]);
        Assert.Equal(Math.Sqrt(0.1 * 0.1 + 3), Math.Sqrt(wider.At(new BlockPoint(300, 0)).Xx), 1e-9);
        Assert.Equal(0.1, Math.Sqrt(wider.At(new BlockPoint(300, 0)).Yy), 1e-9);
        Assert.Equal(0.1, Math.Sqrt(wider.At(new BlockPoint(0, 300)).Xx), 1e-9);
        Assert.True(wider.TypicalMm > u.TypicalMm);
    }

    /// <summary>Monte Carlo of the whole chain on a tilted view: corners moved in the photo, homography solved anew, a fixed pixel mapped.</summary>
    [Fact]
    public void PlaceAndLine_OfTiltedView_MatchMonteCarlo()
    {
        const int runs = 4000;
        const double samplingError = 0.06;
        var size = new BlockSize(203.2, 152.4);
        var corners = new BlockCorners(new(412, 318), new(3580, 402), new(3522, 2711), new(366, 2650), 4);
        var family = new LineFamily(30, 25, new BlockPoint(0, 152.4));
        GridLine line = new IntendedGrid(size, [family]).Lines.OrderByDescending(l => l.LengthMm).First();
        CornerUncertainty u = CornerUncertainty.Of(corners, size);
        (double X, double Y)[] block = [.. size.Corners().Select(c => (c.Xmm, c.Ymm))];
        Homography photoFromBlock = Homography.FromFourPoints([.. corners.ToArray().Select(p => (p.X, p.Y))], block).Inverse();
        var place = new BlockPoint(160, 40);
        (double px, double py) = photoFromBlock.Map(place.Xmm, place.Ymm);
        double[] along = [.. Enumerable.Range(0, 40).Select(i => (i + 0.5) / 40 * line.LengthMm)];
        (double X, double Y)[] linePx = [.. along.Select(a => photoFromBlock.Map(line.From.Xmm + family.AlongX * a, line.From.Ymm + family.AlongY * a))];
        var random = new Random(11);
        double xx = 0, yy = 0, xy = 0, offset2 = 0, angle2 = 0;
        for (int run = 0; run < runs; run++)
        {
            Homography h = Homography.FromFourPoints([.. corners.ToArray().Select(p => (p.X + 4 * CornerNormal(random), p.Y + 4 * CornerNormal(random)))], block);
            (double x, double y) = h.Map(px, py);
            xx += (x - place.Xmm) * (x - place.Xmm) / runs;
            yy += (y - place.Ymm) * (y - place.Ymm) / runs;
            xy += (x - place.Xmm) * (y - place.Ymm) / runs;
            double[] deviation = [.. linePx.Select(p => h.Map(p.X, p.Y)).Select(p => family.Across(new BlockPoint(p.X, p.Y)) - family.Across(line.From))];
            LeastSquaresLine fit = LeastSquaresLine.Fit(along, deviation);
            offset2 += Math.Pow(fit.At(line.LengthMm / 2), 2) / runs;
            angle2 += Math.Pow(fit.AngleRad * 180 / Math.PI, 2) / runs;
        }
        Covariance2 c = u.At(place);
        (double offsetU, double angleU) = u.OfLine(line, family);
        Assert.Equal(1, Math.Sqrt(xx / c.Xx), samplingError);
        Assert.Equal(1, Math.Sqrt(yy / c.Yy), samplingError);
        Assert.Equal(xy, c.Xy, samplingError * Math.Sqrt(c.Xx * c.Yy));
        Assert.Equal(1, Math.Sqrt(offset2) / offsetU, samplingError);
        Assert.Equal(1, Math.Sqrt(angle2) / angleU, samplingError);
    }

    private static double CornerNormal(Random r) => Math.Sqrt(-2 * Math.Log(1 - r.NextDouble())) * Math.Cos(2 * Math.PI * r.NextDouble());
}
