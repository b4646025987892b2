using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Colour;

namespace Analyzer.Testing.Tests;

/// <summary>The truth must lie on the thread that was drawn. Checked by a plain centroid of pixel darkness along rows or columns, independent of the renderer.</summary>
public sealed class TruthOnThreadTests
{
    /// <summary>Allowed distance of truth from the thread's centroid, mm: a fifth of a pixel at the 10 px/mm used here.</summary>
    private const double ToleranceMm = 0.02;

    [Theory]
    [InlineData(90, 0, 0)]
    [InlineData(0, 0, 0)]
    [InlineData(90, 18, 0.03)]
    [InlineData(0, 18, -0.03)]
    public void Truth_OfCrispLines_LiesOnTheThread(double angleDeg, double tiltDeg, double k1)
    {
        SyntheticPhoto photo = SceneRenderer.Render(Crisp(angleDeg, tiltDeg, k1));
        bool upright = angleDeg == 90;
        Homography photoFromBlock = photo.Truth.PhotoFromBlock;
        var errors = new List<double>();
        foreach (LineTruth line in photo.Truth.Lines)
        {
            (double X, double Y)[] path = [.. line.PathMm().Select(p => photoFromBlock.Map(p.Xmm, p.Ymm))];
            double[] holes = [.. line.Holes.Select(p => photoFromBlock.Map(p.Xmm, p.Ymm)).Select(q => upright ? q.Y : q.X)];
            for (int i = 20; i + 20 < path.Length; i += 7)
            {
                int row = (int)Math.Round(upright ? path[i].Y : path[i].X);
                double truth = CrossingWith(path, row, upright);
                // At a needle hole the thread bends and its outline has a notch; the centroid there is not the thread's centre.
                if (holes.Any(h => Math.Abs(h - row) < 4)) continue;
                errors.Add((Centroid(photo, row, truth, upright) - truth) / 10);
            }
        }
        Assert.True(errors.Count > 100);
        Assert.InRange(Math.Abs(errors.Average()), 0, ToleranceMm / 10);
        Assert.All(errors, e => Assert.InRange(Math.Abs(e), 0, ToleranceMm));
    }

    [Fact]
    public void Corners_OfBorderlessView_ProjectOntoTheSeam()
    {
        // Block white, border black, nothing else: the edge's half-way point must fall on the true edge.
        SceneSettings s = Crisp(90, 0, 0);
        SyntheticPhoto photo = SceneRenderer.Render(s with { Stitch = StitchSettings.Perfect, Surround = s.Surround with { Colour = new LinearRgb(0, 0, 0), DitchStitched = false, SeamDarkness = 0 } });
        PhotoPoint a = photo.Truth.Corners.TopLeft, b = photo.Truth.Corners.TopRight;
        int col = (int)Math.Round(0.5 * (a.X + b.X) + 37);
        double edge = a.Y + (col - a.X) / (b.X - a.X) * (b.Y - a.Y), sum = 0;
        int from = (int)edge - 12, to = (int)edge + 12;
        double full = Light(photo, col, to);
        for (int row = from; row <= to; row++) sum += Light(photo, col, row) / full;
        Assert.InRange(to + 0.5 - sum - edge, -0.1, 0.1);
    }

    private static SceneSettings Crisp(double angleDeg, double tiltDeg, double k1)
    {
        var size = new BlockSize(80, 80);
        CameraSettings camera = SceneSettings.Framing(size, 10, 8);
        return new SceneSettings
        {
            Seed = 11,
            Size = size,
            Families = [new LineFamily(angleDeg, 18, new BlockPoint(9, 9))],
            Stitch = new StitchSettings { HoleGapMm = 0, DistortionMm = 0.3 },
            Thread = new ThreadSettings { Colours = [new LinearRgb(0, 0, 0)], Roundness = 0, Twist = 0, HoleDarkness = 0, ContactShadow = 0, WidthMm = 0.4 },
            Cloth = new ClothSettings { Weave = Weave.None, Colours = [new LinearRgb(0.9f, 0.9f, 0.9f)] },
            Relief = ReliefSettings.Flat,
            Finish = FinishSettings.Clean,
            Camera = camera with { TiltDeg = tiltDeg, TiltTowardDeg = 40, RollDeg = 2, K1 = k1 },
        };
    }

    /// <summary>Where the path crosses the centre of a row (or column), px.</summary>
    private static double CrossingWith((double X, double Y)[] path, int row, bool upright)
    {
        for (int i = 0; i + 1 < path.Length; i++)
        {
            double a = upright ? path[i].Y : path[i].X, b = upright ? path[i + 1].Y : path[i + 1].X;
            if ((a - row) * (b - row) > 0) continue;
            double t = (row - a) / (b - a);
            return upright ? path[i].X + t * (path[i + 1].X - path[i].X) : path[i].Y + t * (path[i + 1].Y - path[i].Y);
        }
        throw new InvalidOperationException("The path does not cross this row.");
    }

    private static double Centroid(SyntheticPhoto photo, int row, double near, bool upright)
    {
        double weight = 0, moment = 0;
        int centre = (int)Math.Round(near);
        double ground = upright ? Light(photo, centre - 9, row) : Light(photo, row, centre - 9);
        for (int k = centre - 8; k <= centre + 8; k++)
        {
            double dark = ground - (upright ? Light(photo, k, row) : Light(photo, row, k));
            weight += dark;
            moment += dark * k;
        }
        return moment / weight;
    }

    private static double Light(SyntheticPhoto photo, int col, int row) => LinearRgb.Decode(photo.Rgb[3 * (row * photo.WidthPx + col) + 1] / 255f);
}
