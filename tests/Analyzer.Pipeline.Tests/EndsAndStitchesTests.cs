using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline.Tests;

/// <summary>Ends at the ditch and stitch lengths; truth is the renderer's needle holes.</summary>
public sealed class EndsAndStitchesTests
{
    private static SyntheticPhoto Render(double pixelsPerMm)
    {
        var size = new BlockSize(100, 100);
        return SceneRenderer.Render(new SceneSettings
        {
            Seed = 12,
            Size = size,
            Families = SceneSettings.NamedFamilies("square", 20, size),
            Stitch = new StitchSettings { PitchMm = 2.5, PitchSpread = 0.12, EndSdMm = 0.8 },
            Camera = SceneSettings.Framing(size, pixelsPerMm, 12),
        });
    }

    private static AccuracyReport Measure(SyntheticPhoto photo)
    {
        using Photo read = PhotoReader.Read(photo.ToJpeg(92), "ends.jpg");
        return new BlockAnalyzer().Analyze(read, photo.Truth.Grid, new AnalysisSettings { GivenCorners = photo.Truth.Corners with { UncertaintyPx = 0.01 }, CornersExact = true, WithPicture = false }).Report;
    }

    [Fact]
    public void EndsAndStitches_AreTheHoles()
    {
        SyntheticPhoto photo = Render(10);
        AccuracyReport report = Measure(photo);
        int ends = 0, within = 0, read = 0, spreads = 0, spreadsWithin = 0;
        foreach ((LineReport line, LineTruth truth) in report.Lines.Zip(photo.Truth.Lines))
        {
            foreach ((MeasuredValue? seen, double real) in new[] { (line.StartOvershootMm, truth.OvershootStartMm), (line.EndOvershootMm, truth.OvershootEndMm) })
            {
                if (seen?.Value is not { } value) continue;
                ends++;
                if (Math.Abs(value - real) <= 2 * seen.U) within++;
                Assert.True(Math.Abs(value - real) < 1.2, $"{line.Id}: end {value:0.00} ± {seen.U:0.00}, true {real:0.00}");
            }
            if (line.StitchLengthMm?.Value is not { } pitch) continue;
            read++;
            Assert.Equal(truth.StitchLengthMm, pitch, 0.12);
            // I1: 25.4 mm to the inch, exactly.
            Assert.Equal(25.4 / pitch, line.StitchesPerInch!.Value!.Value, 0.01);
            if (line.StitchLengthSpreadMm is not { } spread) continue;
            spreads++;
            double[] own = [.. Enumerable.Range(0, truth.Holes.Count - 1).Select(i => truth.Holes[i].DistanceTo(truth.Holes[i + 1]))];
            double sd = Math.Sqrt(own.Sum(v => Math.Pow(v - own.Average(), 2)) / (own.Length - 1));
            if (Math.Abs(spread - sd) <= 2 * line.StitchLengthSpreadUMm!.Value) spreadsWithin++;
        }
        Assert.True(ends >= report.Lines.Count, $"{ends} ends told of {2 * report.Lines.Count}");
        Assert.True(within >= 0.8 * ends, $"{within} of {ends} ends within 2u");
        Assert.True(read >= 0.7 * report.Lines.Count, $"stitches read on {read} of {report.Lines.Count} lines");
        Assert.True(spreads > 0 && spreadsWithin >= 0.7 * spreads, $"{spreadsWithin} of {spreads} spreads within 2u");
    }

    /// <summary>Under six pixels per stitch nothing is said.</summary>
    [Fact]
    public void TooCoarsePhoto_IsSilentAboutStitches()
    {
        var size = new BlockSize(100, 100);
        SyntheticPhoto photo = SceneRenderer.Render(new SceneSettings
        {
            Seed = 12,
            Size = size,
            Families = SceneSettings.NamedFamilies("square", 20, size),
            Stitch = new StitchSettings { PitchMm = 1.5 },
            Camera = SceneSettings.Framing(size, 3.6, 12),
        });
        Assert.All(Measure(photo).Lines, line => Assert.Null(line.StitchLengthMm));
    }
}
