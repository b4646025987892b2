using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Truth: analytic. A dark ditch about a square block that follows a wave along its top side.</summary>
public class SideCourseTests
{
    private const double PerMm = 6, MarginMm = 20;

    /// <summary>The corner error that is asked for in the median, mm.</summary>
    private const double MedianMm = 0.15;

    private static readonly BlockSize Size = new(150, 150);

    /// <summary>Outward offset of the top's ditch at s from -1 to 1, mm; the course ends where the corner is.</summary>
    private static double Wave(double s, double heightMm) => heightMm * Math.Cos(4 * s);

    private static CornerFit Fit(double heightMm)
    {
        int side = (int)((Size.WidthMm + 2 * MarginMm) * PerMm);
        using var photo = new Mat(side, side, MatType.CV_8UC3);
        for (int y = 0; y < side; y++)
            for (int x = 0; x < side; x++)
            {
                double left = x / PerMm - MarginMm, right = Size.WidthMm - left, bottom = MarginMm + Size.HeightMm - y / PerMm;
                double top = y / PerMm - MarginMm + Wave(2 * left / Size.WidthMm - 1, heightMm);
                double inward = Math.Min(Math.Min(left, right), Math.Min(top, bottom));
                double v = (inward > 0 ? 190 : 110) - 40 * Math.Exp(-inward * inward / (2 * 0.3 * 0.3));
                photo.Set(y, x, new Vec3b((byte)v, (byte)v, (byte)v));
            }
        using var noise = new Mat(side, side, MatType.CV_16SC3);
        using var sum = new Mat();
        Cv2.SetTheRNG(5);
        Cv2.Randn(noise, Scalar.All(0), Scalar.All(4));
        Cv2.Add(photo, noise, sum, dtype: MatType.CV_8U);
        PhotoPoint[] corners = [.. Size.Corners().Select(p => new PhotoPoint((p.Xmm + MarginMm) * PerMm, (p.Ymm + MarginMm) * PerMm))];
        return CornerFit.Of(sum, corners, Size, 0.8, 0.3, bowsMm: [0, 0, 0, 0])!;
    }

    [Theory]
    [InlineData(0)]
    [InlineData(0.15)]
    public void Corner_OfAWavySide_LiesWhereTheWaveEnds(double heightMm)
    {
        CornerFit fit = Fit(heightMm);
        foreach (int corner in new[] { 0, 1 })
        {
            double truth = (MarginMm - Wave(corner == 0 ? -1 : 1, heightMm)) * PerMm, u = Math.Sqrt(fit.CovariancePx[2 * corner + 1, 2 * corner + 1]);
            Assert.True(Math.Abs(fit.Corners[corner].Y - truth) < 2 * u, $"{(fit.Corners[corner].Y - truth) / PerMm:0.000} mm off, u {u / PerMm:0.000} mm");
            Assert.True(Math.Abs(fit.Corners[corner].Y - truth) < MedianMm * PerMm, $"{(fit.Corners[corner].Y - truth) / PerMm:0.000} mm off");
        }
    }

    /// <summary>A block of half a pixel per millimetre shows no seam; its corners stay about where they were assumed, and unsure.</summary>
    [Fact]
    public void Corner_OfABlockOfFewPixels_IsUnsure()
    {
        using var photo = new Mat(200, 200, MatType.CV_8UC3, Scalar.All(150));
        PhotoPoint[] corners = [.. Size.Corners().Select(p => new PhotoPoint(20 + 0.6 * p.Xmm, 20 + 0.6 * p.Ymm))];
        CornerFit fit = CornerFit.Of(photo, corners, Size, 0.8, 0.3, bowsMm: [0, 0, 0, 0])!;
        Assert.All(Enumerable.Range(0, 4), k => Assert.InRange(Math.Abs(fit.Corners[k].X - corners[k].X), 0, 0.6));
        Assert.All(fit.Sides, side => Assert.Equal(0, side?.Seen ?? 0));
    }

    /// <summary>Truth: Legendre's differential equation makes them orthogonal; P4(1/2) = -37/128, P5(1/2) = 23/256 by hand from their definition.</summary>
    [Fact]
    public void Basis_FromTheThirdTermOn_IsLegendres()
    {
        double[] half = SideCourse.Basis(0.5), end = SideCourse.Basis(1);
        Assert.Equal(-37 / 128.0, half[4], 12);
        Assert.Equal(23 / 256.0, half[5], 12);
        for (int k = 3; k < SideCourse.Terms; k++) Assert.Equal(1, end[k], 12);
        double[] c = [.. Enumerable.Range(1, SideCourse.Terms).Select(k => k * 0.1)];
        Assert.Equal(c.Zip(SideCourse.Basis(-0.3), (a, b) => a * b).Sum(), SideCourse.At(c, -0.3), 12);
    }
}
