using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;
using Analyzer.Vision.Photos;
using Xunit.Abstractions;

namespace Analyzer.Pipeline.Tests;

/// <summary>Bounces at the ditch on rendered photos; truth is the arc that the renderer sewed.</summary>
public sealed class TurnReadingTests(ITestOutputHelper output)
{
    private static (SyntheticPhoto Photo, AccuracyReport Report) Measure(string pattern, double? radiusMm, int seed, double endSdMm = 0.2)
    {
        var size = new BlockSize(120, 120);
        SyntheticPhoto photo = SceneRenderer.Render(new SceneSettings
        {
            Seed = seed,
            Size = size,
            Families = SceneSettings.NamedFamilies(pattern, 21.2132034, size),
            Stitch = new StitchSettings { TurnRadiusMm = radiusMm, EndSdMm = endSdMm, OffsetSdMm = 0.1, WobbleLongMm = 0.12, WobbleMidMm = 0.06, WobbleShortMm = 0.03, BowSdMm = 0.1 },
            Camera = SceneSettings.Framing(size, 9, 14) with { TiltDeg = 4 },
        });
        using Photo read = PhotoReader.Read(photo.ToJpeg(92), "turns.jpg");
        var settings = new AnalysisSettings { GivenCorners = photo.Truth.Corners with { UncertaintyPx = 0.01 }, CornersExact = true, WithPicture = false };
        return (photo, new BlockAnalyzer().Analyze(read, photo.Truth.Grid, settings).Report);
    }

    /// <summary>At least three in four are read; of those at most one lies beyond 2u, as one in twenty does by chance, and none beyond 3u.</summary>
    [Theory]
    [InlineData("diamond", 0.8, 51)]
    [InlineData("diamond", 2.0, 52)]
    [InlineData("diamond", 3.5, 53)]
    [InlineData("triangle", 1.5, 54)]
    public void RoundedBounces_AreTheArcsThatWereSewn(string pattern, double radiusMm, int seed)
    {
        (SyntheticPhoto photo, AccuracyReport report) = Measure(pattern, radiusMm, seed);
        Assert.True(photo.Truth.Turns.Count >= 6);
        var z = new List<double>();
        foreach (TurnTruth real in photo.Truth.Turns)
        {
            Assert.InRange(real.RadiusMm, 0.98 * radiusMm, 1.02 * radiusMm);
            TurnReport seen = report.Turns.Single(t => t.LineIds.Contains(real.LineA) && t.LineIds.Contains(real.LineB));
            output.WriteLine($"{real.LineA} {real.LineB}, {real.AngleDeg:0} degrees: cut off {real.CutOffMm:0.00}, seen {seen.CutOffMm.Value:0.00} u {seen.CutOffMm.U:0.00}; radius {seen.RadiusMm.Value:0.00} u {seen.RadiusMm.U:0.00}");
            if (seen.CutOffMm.Value is { } cutOff) z.Add((cutOff - real.CutOffMm) / seen.CutOffMm.U!.Value);
        }
        Assert.True(z.Count >= 0.75 * photo.Truth.Turns.Count, $"{z.Count} of {photo.Truth.Turns.Count} read");
        Assert.True(z.Count(v => Math.Abs(v) > 2) <= 1 && z.All(v => Math.Abs(v) < 3), string.Join(' ', z.Select(v => $"{v:0.0}")));
    }

    /// <summary>Lines sewn each by itself right to the ditch meet in sharp corners: whatever is read there is zero within its uncertainty.</summary>
    [Fact]
    public void SharpCorners_AreCutOffByNothing()
    {
        (_, AccuracyReport report) = Measure("diamond", null, 55, endSdMm: 0);
        TurnReport[] seen = [.. report.Turns.Where(t => t.CutOffMm.Value is not null)];
        output.WriteLine(string.Join(' ', seen.Select(t => $"{t.CutOffMm.Value:0.00}±{t.CutOffMm.U:0.00}")));
        Assert.Equal(12, report.Turns.Count);
        Assert.All(seen, t => Assert.InRange(t.CutOffMm.Value!.Value, 0, 2 * t.CutOffMm.U!.Value));
    }

    /// <summary>A square grid has no bounces.</summary>
    [Fact]
    public void SquareGrid_HasNoTurns()
    {
        var size = new BlockSize(120, 120);
        Assert.Empty(DitchTurn.Of(new IntendedGrid(size, SceneSettings.NamedFamilies("square", 20, size))));
    }
}
