using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline.Tests;

/// <summary>Large photos are read at half size where the block has pixels enough. Truth is the renderer's own geometry.</summary>
public sealed class HalvedPhotoTests
{
    /// <summary>What the half may lose against the whole, mm: median and 95 % of the samples' errors.</summary>
    private const double LostMedianMm = 0.005, LostNearlyAllMm = 0.02;

    /// <summary>Corners by the seam, halved and whole, mm.</summary>
    private const double SameCornersMm = 0.15;

    private static SyntheticPhoto Block(double pixelsPerMm)
    {
        var size = new BlockSize(76.2, 76.2);
        SceneSettings basis = SceneSettings.Random(7, Tier.Easy, sideMm: 76.2);
        return SceneRenderer.Render(basis with { Size = size, Families = SceneSettings.NamedFamilies("square", 12.7, size), Camera = Even(SceneSettings.Framing(size, pixelsPerMm, 6)) });
    }

    private static CameraSettings Even(CameraSettings camera) => camera with { WidthPx = camera.WidthPx / 2 * 2, HeightPx = camera.HeightPx / 2 * 2 };

    private static AccuracyReport Measure(SyntheticPhoto photo, byte[] jpeg, bool halve, bool given)
    {
        using Photo read = PhotoReader.Read(jpeg, "large.jpg", halve ? 1 : long.MaxValue);
        Assert.Equal(halve ? 2 : 1, read.ReducedBy);
        var settings = new AnalysisSettings { WithPicture = false, GivenCorners = given ? photo.Truth.Corners : null, CornersExact = given };
        return new BlockAnalyzer().Analyze(read, photo.Truth.Grid, settings).Report;
    }

    private static double[] Errors(AccuracyReport report, SceneTruth truth)
    {
        var errors = new List<double>();
        foreach (LineReport line in report.Lines)
        {
            Dictionary<int, double> there = truth.Line(line.Id).Samples.ToDictionary(s => (int)Math.Round(s.AlongMm), s => s.DeviationMm);
            foreach (LineSample s in line.Samples)
                if (there.TryGetValue((int)Math.Round(s.AlongMm), out double at)) errors.Add(Math.Abs(s.DeviationMm - at));
        }
        return [.. errors.Order()];
    }

    [Fact]
    public void HalfOfAPhotoWithPixelsToSpare_MeasuresAsWellAsTheWhole()
    {
        SyntheticPhoto photo = Block(26);
        byte[] jpeg = photo.ToJpeg(92);
        AccuracyReport whole = Measure(photo, jpeg, halve: false, given: true), half = Measure(photo, jpeg, halve: true, given: true);
        Assert.True(half.Settings.ContainsKey("photoRead"), "the photo was not measured at half size");
        double[] w = Errors(whole, photo.Truth), h = Errors(half, photo.Truth);
        Assert.InRange(h.Length, w.Length - 5, w.Length + 5);
        Assert.InRange(h[h.Length / 2], 0, w[w.Length / 2] + LostMedianMm);
        Assert.InRange(h[h.Length * 95 / 100], 0, w[w.Length * 95 / 100] + LostNearlyAllMm);
        Assert.Equal(whole.Photo, half.Photo);
        for (int i = 0; i < 4; i++)
            for (int k = 0; k < 2; k++) Assert.Equal(whole.Block!.CornersPx[i][k], half.Block!.CornersPx[i][k], 2);

        AccuracyReport found = Measure(photo, jpeg, halve: true, given: false);
        PhotoPoint[] real = photo.Truth.Corners.ToArray();
        for (int i = 0; i < 4; i++)
            Assert.InRange(new PhotoPoint(found.Block!.CornersPx[i][0], found.Block.CornersPx[i][1]).DistanceTo(real[i]), 0, SameCornersMm * found.Block.PixelsPerMm);
    }

    [Fact]
    public void HalfThatWouldLeaveTooFewPixels_IsNotUsed()
    {
        SyntheticPhoto photo = Block(15);
        AccuracyReport report = Measure(photo, photo.ToJpeg(92), halve: true, given: true);
        Assert.False(report.Settings.ContainsKey("photoRead"));
        Assert.InRange(report.Block!.PixelsPerMm, 13, 17);
    }
}
