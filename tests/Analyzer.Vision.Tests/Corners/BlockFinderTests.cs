using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Testing;
using Analyzer.Vision.Corners;
using OpenCvSharp;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Corners;

public class BlockFinderTests(ITestOutputHelper output)
{
    /// <summary>A found corner may be off by this before it counts as wrong, mm: a few times the ditch's own width.</summary>
    private const double RightMm = 0.6;

    private static IntendedGrid Grid(string name, double spacingMm, double w, double h)
    {
        var size = new BlockSize(w, h);
        return new IntendedGrid(size, NamedGrids.Families(name, Length.FromMillimetres(spacingMm), size)!);
    }

    public static TheoryData<string, double, double, double, double, string> Scenes => new()
    {
        { "square", 25.4, 203.2, 203.2, 4, "other cloth" },
        { "diamond", 25.4, 203.2, 203.2, -17, "other cloth" },
        { "triangle", 25.4, 203.2, 152.4, 8, "other cloth" },
        { "triangle45", 30, 250, 250, 31, "other cloth" },
        { "square", 25.4, 203.2, 203.2, -3, "same cloth" },
        { "triangle", 19.05, 203.2, 203.2, 12, "same cloth" },
        { "diamond", 25.4, 152.4, 203.2, 2, "similar cloth" },
    };

    private static DrawnBlock.Settings Setting(double rotationDeg, string cloth, int seed) => new DrawnBlock.Settings
    {
        RotationDeg = rotationDeg,
        Seed = seed,
        Border = cloth == "other cloth" ? new Scalar(120, 80, 60) : cloth == "same cloth" ? new Scalar(200, 215, 225) : new Scalar(190, 208, 222),
    };

    [Theory]
    [MemberData(nameof(Scenes))]
    public void Find_WithoutHint_GivesTheDitchCorners(string name, double spacing, double w, double h, double rotation, string cloth)
    {
        IntendedGrid grid = Grid(name, spacing, w, h);
        using DrawnBlock drawn = DrawnBlock.Draw(grid, Setting(rotation, cloth, 3));
        FoundBlock? found = BlockFinder.Find(drawn.Photo, grid);
        Assert.NotNull(found);
        double worst = drawn.WorstMm(found.Corners.ToArray());
        output.WriteLine($"{name} {cloth}: worst {worst:0.000} mm, u {found.Corners.UncertaintyPx / drawn.PixelsPerMm:0.000} mm, {found.Confidence}, {string.Join(' ', found.Scores.Select(p => $"{p.Key}={p.Value:0.00}"))} {string.Join("; ", found.Doubts)}");
        if (Environment.GetEnvironmentVariable("CORNER_PICTURES") is { } folder)
            File.WriteAllBytes(Path.Combine(folder, $"{name}-{cloth}-{rotation}.png"), CornerPicture.Png(drawn.Photo, found));
        Assert.True(worst < RightMm, $"{worst:0.00} mm");
    }

    [Theory]
    [MemberData(nameof(Scenes))]
    public void Refine_OfMarksTwoPercentOff_GivesTheDitchCorners(string name, double spacing, double w, double h, double rotation, string cloth)
    {
        IntendedGrid grid = Grid(name, spacing, w, h);
        using DrawnBlock drawn = DrawnBlock.Draw(grid, Setting(rotation, cloth, 4));
        var random = new Random(7);
        double off = 0.02 * Math.Max(w, h) * drawn.PixelsPerMm;
        PhotoPoint[] marks = [.. drawn.Truth.Select(p =>
        {
            double angle = random.NextDouble() * 2 * Math.PI;
            return new PhotoPoint(p.X + off * Math.Cos(angle), p.Y + off * Math.Sin(angle));
        })];
        FoundBlock refined = CornerRefiner.Refine(drawn.Photo, BlockCorners.FromArray(marks, 5), grid);
        double worst = drawn.WorstMm(refined.Corners.ToArray());
        output.WriteLine($"{name} {cloth}: worst {worst:0.000} mm, {refined.Confidence} {string.Join("; ", refined.Doubts)} | {string.Join(' ', Enumerable.Range(0, 4).Select(i => $"({(refined.Corners.ToArray()[i].X - drawn.Truth[i].X) / drawn.PixelsPerMm:0.00},{(refined.Corners.ToArray()[i].Y - drawn.Truth[i].Y) / drawn.PixelsPerMm:0.00})"))} {string.Join(' ', refined.Sides.Select(x => $"{x.BowMm:0.00}/{x.BowUMm:0.00}/{x.ScatterMm:0.00}/{x.SeenShare:0.00}"))}");
        Assert.True(worst < RightMm, $"{worst:0.00} mm");
    }

    /// <summary>Truth: the renderer's. On these a side used to slide or swing over to the cloth's edge, 1.3 to 4 mm off.</summary>
    [Theory]
    [InlineData(7048)]
    [InlineData(7091)]
    [InlineData(8063)]
    [InlineData(8078)]
    public void Find_WhereTheClothEndsJustBeyondTheDitch_GivesTheDitch(int seed)
    {
        SyntheticPhoto rendered = SceneRenderer.Render(SceneSettings.RandomSetup(seed));
        using Vision.Photos.Photo photo = Vision.Photos.PhotoReader.Read(rendered.ToJpeg(90), "block.jpg");
        FoundBlock? found = BlockFinder.Find(photo, rendered.Truth.Grid);
        Assert.NotNull(found);
        double worst = WorstMm(found, rendered);
        output.WriteLine($"{rendered.Truth.Description}: worst {worst:0.000} mm, {found.Confidence} {string.Join("; ", found.Doubts)}");
        Assert.True(worst < RightMm, $"{worst:0.00} mm");
    }

    /// <summary>
    /// A wide lens (barrel, sides bowed by about a hundredth of their length) in front of the renderer's scenes: the stitched lines bow with the sides, and do not speak for another outline.
    /// Held against straight sides they had asked for one some millimetres away on all eight, right as the outline was on seven of them. On the last a side is faint, the outline is 1.1 mm off, and it says so.
    /// </summary>
    [Theory]
    [InlineData(1, true)]
    [InlineData(2, true)]
    [InlineData(3, true)]
    [InlineData(4, true)]
    [InlineData(5, true)]
    [InlineData(6, true)]
    [InlineData(8, true)]
    [InlineData(7, false)]
    public void Find_ThroughAWideLens_IsSureOfTheRightOutline(int seed, bool isSure)
    {
        SceneSettings scene = SceneSettings.Random(seed, Tier.Ordinary, 180);
        SyntheticPhoto rendered = SceneRenderer.Render(scene with { Camera = scene.Camera with { K1 = 0.2 } });
        using Vision.Photos.Photo photo = Vision.Photos.PhotoReader.Read(rendered.ToJpeg(90), "block.jpg");
        FoundBlock? found = BlockFinder.Find(photo, rendered.Truth.Grid);
        Assert.NotNull(found);
        double worst = WorstMm(found, rendered);
        output.WriteLine($"{rendered.Truth.Description}: worst {worst:0.000} mm, {found.Confidence} {string.Join("; ", found.Doubts)} bows {string.Join(' ', found.Sides.Select(x => x.BowMm.ToString("0.0")))}");
        Assert.Equal(isSure, found.Confidence != CornerConfidence.Low);
        Assert.True(!isSure || worst < RightMm, $"{worst:0.00} mm");
    }

    private static double WorstMm(FoundBlock found, SyntheticPhoto rendered)
    {
        Homography blockFromPhoto = rendered.Truth.PhotoFromBlock.Inverse();
        return found.Corners.ToArray().Zip(rendered.Truth.Corners.ToArray()).Max(p =>
        {
            (double ax, double ay) = blockFromPhoto.Map(p.First.X, p.First.Y);
            (double bx, double by) = blockFromPhoto.Map(p.Second.X, p.Second.Y);
            return Math.Sqrt((ax - bx) * (ax - bx) + (ay - by) * (ay - by));
        });
    }

    [Fact]
    public void Find_InAPictureWithoutABlock_GivesNothingOrLowConfidence()
    {
        IntendedGrid grid = Grid("square", 25.4, 203.2, 203.2);
        using var cloth = new Mat(1200, 1600, MatType.CV_8UC3, new Scalar(150, 160, 170));
        using var noise = new Mat(1200, 1600, MatType.CV_16SC3);
        using var sum = new Mat();
        Cv2.SetTheRNG((ulong)(5));
        Cv2.Randn(noise, Scalar.All(0), Scalar.All(12));
        Cv2.Add(cloth, noise, sum, dtype: MatType.CV_8U);
        Cv2.ImEncode(".png", sum, out byte[] bytes);
        using Vision.Photos.Photo photo = Vision.Photos.PhotoReader.Read(bytes, "cloth.png");
        FoundBlock? found = BlockFinder.Find(photo, grid);
        Assert.True(found is null || found.Confidence == CornerConfidence.Low);
    }
}
