using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Scene;

namespace Analyzer.Testing.Tests;

public sealed class SceneRendererTests
{
    /// <summary>Largest effect of rounding to four decimals, mm.</summary>
    private const double FourDecimals = 1e-4;

    [Fact]
    public void Render_OfSameSettings_GivesSameBytes()
    {
        SceneSettings settings = SceneSettings.Random(5, Tier.Hard, 50);
        Assert.Equal(SceneRenderer.Render(settings).Rgb, SceneRenderer.Render(settings).Rgb);
    }

    [Fact]
    public void Camera_ProjectThenUnproject_ComesBack()
    {
        var size = new BlockSize(200, 150);
        var camera = new CameraModel(
            new CameraSettings { WidthPx = 2000, HeightPx = 1500, PixelsPerMm = 7, TiltDeg = 22, TiltTowardDeg = 77, RollDeg = 31, K1 = 0.04, K2 = -0.01, ShiftXPx = 12 }, size);
        foreach ((double x, double y) in new[] { (0.0, 0.0), (200, 0), (200, 150), (0, 150), (71, 33) })
        {
            PhotoPoint p = camera.Project(x, y);
            (double bx, double by) = camera.Unproject(p.X, p.Y);
            Assert.Equal(x, bx, 8);
            Assert.Equal(y, by, 8);
        }
    }

    [Fact]
    public void Truth_OfPerfectStitching_HasNoDeviation()
    {
        var size = new BlockSize(80, 80);
        SceneTruth truth = SceneRenderer.TruthOf(new SceneSettings
        {
            Seed = 1,
            Size = size,
            Families = SceneSettings.NamedFamilies("triangle", 20, size),
            Stitch = StitchSettings.Perfect,
            Camera = SceneSettings.Framing(size, 5, 10) with { TiltDeg = 20, RollDeg = 12 },
        });
        Assert.All(truth.Lines, line => Assert.All(line.Samples, s => Assert.InRange(Math.Abs(s.DeviationMm), 0, 1e-6)));
        Assert.All(truth.Crossings, c => Assert.InRange(c.AtMm.DistanceTo(c.IntendedMm), 0, 1e-6));
        Assert.NotEmpty(truth.Crossings);
    }

    [Fact]
    public void Truth_WithLens_DiffersFromIdealPlaneAsTheLensBends()
    {
        var size = new BlockSize(150, 150);
        SceneTruth truth = SceneRenderer.TruthOf(new SceneSettings
        {
            Seed = 1,
            Size = size,
            Families = [new LineFamily(0, 75, new BlockPoint(0, 75))],
            Stitch = StitchSettings.Perfect,
            Camera = SceneSettings.Framing(size, 5, 5) with { K1 = 0.03 },
        });
        // The middle line runs through the picture's centre and stays straight; a lens with K1 bends only what lies off centre.
        Assert.InRange(truth.Lines[0].Samples.Max(s => Math.Abs(s.DeviationMm)), 0, 1e-6);
        SceneTruth off = SceneRenderer.TruthOf(new SceneSettings
        {
            Seed = 1,
            Size = size,
            Families = [new LineFamily(0, 140, new BlockPoint(0, 5))],
            Stitch = StitchSettings.Perfect,
            Camera = SceneSettings.Framing(size, 5, 5) with { K1 = 0.03 },
        });
        Assert.InRange(off.Lines[0].Samples.Max(s => Math.Abs(s.DeviationMm)), 0.3, 3);
        Assert.InRange(off.Lines[0].IdealSamples.Max(s => Math.Abs(s.DeviationMm)), 0, 1e-6);
    }

    [Theory]
    [InlineData(Tier.Easy)]
    [InlineData(Tier.Ordinary)]
    [InlineData(Tier.Hard)]
    public void RandomScenes_KeepAllFourCornersInThePhoto(Tier tier)
    {
        for (int seed = 0; seed < 30; seed++)
        {
            SceneTruth truth = SceneRenderer.TruthOf(SceneSettings.Random(seed, tier));
            Assert.All(truth.Corners.ToArray(), p => Assert.True(p.X > 0 && p.Y > 0 && p.X < truth.WidthPx && p.Y < truth.HeightPx));
            Assert.True(truth.WidthPx * (long)truth.HeightPx < 20_000_000);
        }
    }

    [Fact]
    public void TruthJson_WrittenAndRead_KeepsFourDecimals()
    {
        SceneTruth truth = SceneRenderer.TruthOf(SceneSettings.Random(3, Tier.Ordinary) with { Marks = new MarkSettings() });
        SceneTruth back = TruthJson.Read(TruthJson.Write(truth));
        Assert.Equal(truth.Lines.Count, back.Lines.Count);
        Assert.Equal(truth.Crossings.Count, back.Crossings.Count);
        for (int i = 0; i < truth.Lines.Count; i++)
        {
            Assert.Equal(truth.Lines[i].Samples.Count, back.Lines[i].Samples.Count);
            Assert.InRange(truth.Lines[i].Summary.StraightnessRmsMm - back.Lines[i].Summary.StraightnessRmsMm, -FourDecimals, FourDecimals);
            Assert.InRange(truth.Lines[i].Summary.OffsetMm - back.Lines[i].Summary.OffsetMm, -FourDecimals, FourDecimals);
            Assert.NotEmpty(back.Lines[i].Mark);
        }
        Assert.InRange(truth.Corners.TopRight.DistanceTo(back.Corners.TopRight), 0, 2e-4);
    }
}
