using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Truth: the straight edges that are painted here.</summary>
public sealed class SideFitTests
{
    private const double PixelsPerMm = 8, SideMm = 100, MarginMm = 12;

    [Fact]
    public void Seams_WhereAStripeRunsOutFromTheSeam_AreBoth()
    {
        // The stripe's edge lies 3.4 mm beyond the top side at its left end and runs under the block's cloth shortly before its right one.
        using Mat photo = Painted(along => 3.4 - 4 * along / SideMm);

        List<(double Energy, double[] Path, bool IsCrossed)> seams = SideFit.Seams(TopStrip(photo), SideMm, 5, 7);

        Assert.Contains(seams, s => Math.Abs(At(s.Path, -1)) < 0.35 && Math.Abs(At(s.Path, 1)) < 0.35);
        Assert.Contains(seams, s => Math.Abs(At(s.Path, -1) - 3.4) < 0.35 && At(s.Path, 1) < 0.35);
    }

    /// <summary>The same where the border's own cloth is hardly lighter than the block's, so that the stripe's edge is by far the stronger of the two.</summary>
    [Fact]
    public void Seams_WhereAMuchStrongerStripeRunsOut_HaveTheBlocksToo()
    {
        using Mat photo = Painted(along => 4.2 - 3.7 * along / SideMm, 102);

        List<(double Energy, double[] Path, bool IsCrossed)> seams = SideFit.Seams(TopStrip(photo), SideMm, 5, 7);

        // At its right end it lies between the two edges, half a millimetre apart.
        (double energy, _, _) = Assert.Single(seams, s => Math.Abs(At(s.Path, -1)) < 0.35 && Math.Abs(At(s.Path, 1)) < 0.7);
        Assert.InRange(energy / seams[0].Energy, 0.6, 0.8);
        Assert.True(At(seams[0].Path, -1) > 3);
    }

    /// <summary>Two edges side by side: what swings over from the one to the other is none.</summary>
    [Fact]
    public void Seams_OfTwoEdges_AreTheseTwo()
    {
        using Mat photo = Painted(_ => 3);

        foreach ((double energy, double[] path, _) in SideFit.Seams(TopStrip(photo), SideMm, 5, 7).Where(s => s.Energy > 2))
            Assert.True(new[] { -1.0, 0, 1 }.All(s => Math.Abs(At(path, s)) < 0.35) || new[] { -1.0, 0, 1 }.All(s => Math.Abs(At(path, s) - 3) < 0.35), $"energy {energy:0.0}: {At(path, -1):0.0} to {At(path, 1):0.0} mm");
    }

    private static double At(double[] path, double s) => path[0] + path[1] * s + path[2] * (s * s - 1 / 3.0);

    private static SideStrip TopStrip(Mat photo)
    {
        var size = new BlockSize(SideMm, SideMm);
        Homography photoFromBlock = Homography.FromFourPoints([.. size.Corners().Select(p => (p.Xmm, p.Ymm))],
            [.. size.Corners().Select(p => ((p.Xmm + MarginMm) * PixelsPerMm, (p.Ymm + MarginMm) * PixelsPerMm))]);
        return SideStrip.Take(photo, photoFromBlock, size, 0, 7.2, PixelsPerMm);
    }

    /// <summary>Dark cloth below the side, a middling one above it, and a pale stripe from the given distance above it on; with noise of a camera's size.</summary>
    private static Mat Painted(Func<double, double> stripeMm, double borderGrey = 130)
    {
        int pixels = (int)((SideMm + 2 * MarginMm) * PixelsPerMm);
        var random = new Random(3);
        var photo = new Mat(pixels, pixels, MatType.CV_8UC3);
        for (int y = 0; y < pixels; y++)
            for (int x = 0; x < pixels; x++)
            {
                double above = MarginMm - y / PixelsPerMm;
                double grey = (above <= 0 ? 60 : above > stripeMm(x / PixelsPerMm - MarginMm) ? 220 : borderGrey) + 6 * (random.NextDouble() + random.NextDouble() - 1);
                photo.Set(y, x, new Vec3b((byte)grey, (byte)grey, (byte)grey));
            }
        return photo;
    }
}
