using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Quality;
using Analyzer.Vision.Tests.Corners;
using OpenCvSharp;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Quality;

public class PhotoQualityTests(ITestOutputHelper output)
{
    private static readonly BlockSize Size = new(203.2, 203.2);
    private static readonly IntendedGrid Grid = new(Size, NamedGrids.Families("square", Length.FromInches(1), Size)!);

    private QualityCheck[] Checks(Func<Mat, Mat>? change = null, DrawnBlock.Settings? settings = null)
    {
        using DrawnBlock drawn = DrawnBlock.Draw(Grid, settings ?? new DrawnBlock.Settings { WidthPx = 2800, HeightPx = 2100, Lean = 0.02 });
        Photo photo = drawn.Photo;
        if (change is not null)
        {
            using Mat changed = change(drawn.Photo.Bgr);
            Cv2.ImEncode(".png", changed, out byte[] bytes);
            photo = PhotoReader.Read(bytes, "changed.png");
        }
        QualityCheck[] checks = [.. PhotoQuality.Check(photo, BlockCorners.FromArray(drawn.Truth, 0.5), Size)];
        foreach (QualityCheck c in checks) output.WriteLine($"{c.Name} {c.Value:0.000} {c.Unit} (limit {c.Limit}) {c.Level}");
        return checks;
    }

    private static string LevelOf(QualityCheck[] checks, string name) => checks.Single(c => c.Name == name).Level;

    [Fact]
    public void GoodPhoto_IsGoodInEveryCheck()
    {
        QualityCheck[] checks = Checks(settings: new DrawnBlock.Settings { WidthPx = 4000, HeightPx = 3000, Lean = 0.02, Fill = 0.44 });
        Assert.Equal("good", PhotoQuality.Overall(checks));
        Assert.All(checks, c => Assert.NotEmpty(c.Advice));
    }

    [Theory]
    [InlineData(1.0)]
    [InlineData(2.0)]
    [InlineData(3.5)]
    public void Blur_OfDrawnEdges_IsReadBack(double sigmaPx)
    {
        // Analytic: a sharp step blurred by a Gaussian of known width.
        using var step = new Mat(240, 240, MatType.CV_8UC1, new Scalar(60));
        step[0, 240, 120, 240].SetTo(new Scalar(180));
        using var blurred = new Mat();
        Cv2.GaussianBlur(step, blurred, new Size(0, 0), sigmaPx);
        double found = BlurEstimate.Of(blurred, 0.5);
        // A pixel's own width adds 0.29 px in squares; 12 % is the estimator's own bias on discrete edges.
        Assert.InRange(found, sigmaPx * 0.88, Math.Sqrt(sigmaPx * sigmaPx + 0.09) * 1.12);
    }

    [Theory]
    [InlineData(3.0)]
    [InlineData(10.0)]
    public void Noise_OfKnownStrength_IsReadBack(double sigma)
    {
        using var mat = new Mat(400, 400, MatType.CV_8UC1, new Scalar(128));
        using var noise = new Mat(400, 400, MatType.CV_16SC1);
        using var sum = new Mat();
        Cv2.SetTheRNG(11);
        Cv2.Randn(noise, Scalar.All(0), Scalar.All(sigma));
        Cv2.Add(mat, noise, sum, dtype: MatType.CV_8U);
        // The calmest tenth of the tiles reads a little low by design: 16 x 16 px tiles scatter by about 6 %.
        Assert.InRange(NoiseEstimate.Of(sum), 0.8 * sigma, 1.05 * sigma);
    }

    [Fact]
    public void BlurredPhoto_IsPoorInSharpness()
    {
        QualityCheck[] checks = Checks(mat => Changed(mat, (from, to) => Cv2.GaussianBlur(from, to, new Size(0, 0), 3.2)));
        Assert.Equal("poor", LevelOf(checks, "sharpness"));
    }

    [Fact]
    public void ShakenPhoto_IsNotGoodInSharpness()
    {
        QualityCheck[] checks = Checks(mat => Changed(mat, (from, to) => Cv2.Blur(from, to, new Size(13, 1))));
        Assert.NotEqual("good", LevelOf(checks, "sharpness"));
    }

    /// <summary>A dark block is told from a dark photo by what lies round it: the same block, once with a white strip along the photo's rim, once without.</summary>
    [Fact]
    public void DarkBlock_WithSomethingBrightBeside_IsNotADarkPhoto()
    {
        static Mat Dim(Mat mat) => Changed(mat, (from, to) => from.ConvertTo(to, -1, 0.17));
        Assert.Equal("poor", LevelOf(Checks(Dim), "brightness"));
        Assert.Equal("fair", LevelOf(Checks(mat =>
        {
            Mat dim = Dim(mat);
            dim[0, 60, 0, dim.Cols].SetTo(new Scalar(220, 220, 220));
            return dim;
        }), "brightness"));
    }

    [Fact]
    public void DarkPhoto_IsPoorInBrightness() =>
        Assert.Equal("poor", LevelOf(Checks(mat => Changed(mat, (from, to) => from.ConvertTo(to, -1, 0.07))), "brightness"));

    [Fact]
    public void BurntOutSpot_IsGlareAndClipping()
    {
        QualityCheck[] checks = Checks(mat => Changed(mat, (from, to) =>
        {
            from.CopyTo(to);
            Cv2.Circle(to, new Point(1400, 1050), 220, Scalar.All(255), -1);
        }));
        Assert.Equal("poor", LevelOf(checks, "glare"));
        Assert.Equal("poor", LevelOf(checks, "clipping"));
    }

    [Fact]
    public void SmallPhoto_IsPoorInResolution_AndCloseFillIsShort()
    {
        QualityCheck[] checks = Checks(settings: new DrawnBlock.Settings { WidthPx = 800, HeightPx = 600 });
        Assert.Equal("poor", LevelOf(checks, "resolution"));
        QualityCheck[] full = Checks(settings: new DrawnBlock.Settings { WidthPx = 1600, HeightPx = 1500, Fill = 0.99, RotationDeg = 0, Lean = 0 });
        Assert.NotEqual("good", LevelOf(full, "rim"));
    }

    // Analytic: a camera of known focal length, tilt and distance looks at the block; the pose must come back.
    [Theory]
    [InlineData(0, 600)]
    [InlineData(15, 500)]
    [InlineData(25, 800)]
    public void Pose_OfAKnownCamera_IsReadBack(double tiltDeg, double distanceMm)
    {
        const int width = 4000, height = 3000;
        double f = CameraPose.AssumedFocal35Mm / 36 * width, t = tiltDeg * Math.PI / 180;
        PhotoPoint Seen(double x, double y)
        {
            double yc = y * Math.Cos(t), zc = distanceMm + y * Math.Sin(t);
            return new PhotoPoint((width - 1) / 2.0 + f * x / zc, (height - 1) / 2.0 + f * yc / zc);
        }
        double w = Size.WidthMm / 2, h = Size.HeightMm / 2;
        using var photo = new Photo(new Mat(height, width, MatType.CV_8UC3, Scalar.All(128)), "a", "", PhotoMetadata.None);
        CameraPose pose = CameraPose.Of(photo, new BlockCorners(Seen(-w, -h), Seen(w, -h), Seen(w, h), Seen(-w, h), 0), Size);
        Assert.Equal(tiltDeg, pose.TiltDeg, 0.01);
        Assert.Equal(distanceMm, pose.DistanceMm, 0.5);
        Assert.False(pose.FocalIsKnown);
    }

    // C10 of the external checks: h 1.5 mm, r 150 mm gives 0.56 mm at 400 mm, 0.38 at 600, 0.23 at 1000.
    [Theory]
    [InlineData(400, 0.56)]
    [InlineData(600, 0.38)]
    [InlineData(1000, 0.23)]
    public void LoftShift_AgreesWithC10(double distanceMm, double shiftMm)
    {
        const int width = 4000, height = 4000;
        var size = new BlockSize(150 * Math.Sqrt(2), 150 * Math.Sqrt(2));
        double half = size.WidthMm / 2 * CameraPose.AssumedFocal35Mm / 36 * width / distanceMm, c = (width - 1) / 2.0;
        using var photo = new Photo(new Mat(height, width, MatType.CV_8UC3, Scalar.All(128)), "a", "", PhotoMetadata.None);
        var corners = new BlockCorners(new(c - half, c - half), new(c + half, c - half), new(c + half, c + half), new(c - half, c + half), 0);
        Assert.Equal(shiftMm, PhotoQuality.Check(photo, corners, size).Single(q => q.Name == "distance").Value, 0.006);
    }

    private static Mat Changed(Mat from, Action<Mat, Mat> change)
    {
        var to = new Mat();
        change(from, to);
        return to;
    }
}
