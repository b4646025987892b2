using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline.Tests;

/// <summary>The whole way on invented photos; truth is the renderer's own geometry.</summary>
public sealed class BlockAnalyzerTests
{
    /// <summary>Demanded of contrasting thread: median and 95 % of the distance between trace and thread, mm.</summary>
    private const double MedianMm = 0.06, NearlyAllMm = 0.20;

    private static AccuracyReport Measure(byte[] file, IntendedGrid grid, BlockCorners corners)
    {
        using Photo photo = PhotoReader.Read(file, "block.jpg");
        return new BlockAnalyzer().Analyze(photo, grid, new AnalysisSettings { GivenCorners = corners, CornersExact = true, WithPicture = false }).Report;
    }

    [Theory]
    [InlineData(7101, Tier.Easy)]
    [InlineData(7102, Tier.Easy)]
    [InlineData(7103, Tier.Ordinary)]
    [InlineData(67001, Tier.Ordinary)] // stripes' edges that run nearly as the lines do
    [InlineData(67007, Tier.Ordinary)] // a line along a check's edge
    [InlineData(66022, Tier.Hard)] // thread of changing colour beside blue pen
    [InlineData(310118, Tier.Hard)] // a broad white thread with shade and pen beside it
    [InlineData(320014, Tier.Hard)] // one metallic line much fainter than the rest
    [InlineData(340022, Tier.Ordinary)] // chalk on check beside the thread, of the opposite hue along one family
    public void Measurement_OfContrastingThread_FollowsTheThread(int seed, Tier tier)
    {
        SyntheticPhoto photo = SceneRenderer.Render(SceneSettings.Random(seed, tier, sideMm: 110));
        AccuracyReport report = Measure(photo.ToJpeg(90), photo.Truth.Grid, photo.Truth.Corners);
        var errors = new List<double>();
        foreach (LineReport line in report.Lines)
        {
            LineTruth truth = photo.Truth.Line(line.Id);
            if (truth.IsMissing) Assert.Empty(line.Samples);
            foreach (LineSample s in line.Samples)
            {
                double[] there = [.. truth.Samples.Where(t => Math.Abs(t.AlongMm - s.AlongMm) < 0.01).Select(t => t.DeviationMm)];
                if (there.Length == 1) errors.Add(Math.Abs(s.DeviationMm - there[0]));
            }
        }
        errors.Sort();
        int stitched = photo.Truth.Lines.Count(l => !l.IsMissing && !IsShort(photo.Truth.Grid.Line(l.Id)));
        Assert.True(report.Lines.Count(l => l.Samples.Count > 0 && !IsShort(photo.Truth.Grid.Line(l.Id))) == stitched, "a stitched line was not found");
        Assert.InRange(errors[errors.Count / 2], 0, MedianMm);
        Assert.InRange(errors[(int)(errors.Count * 0.95)], 0, NearlyAllMm);
    }

    /// <summary>Corner chords under 15 mm hold a few stitches only and may go unfound.</summary>
    private static bool IsShort(GridLine line) => line.LengthMm < 15;

    /// <summary>External check N4: with the corners named from the other end the block is turned by half; offsets change sign and the lines their order.</summary>
    [Fact]
    public void Measurement_OfBlockTurnedByHalf_FollowsTheTurn()
    {
        SyntheticPhoto photo = Square(7201);
        byte[] file = photo.ToJpeg(92);
        PhotoPoint[] c = photo.Truth.Corners.ToArray();
        AccuracyReport straight = Measure(file, photo.Truth.Grid, photo.Truth.Corners);
        AccuracyReport turned = Measure(file, photo.Truth.Grid, BlockCorners.FromArray([c[2], c[3], c[0], c[1]], 0));
        for (int family = 0; family < 2; family++)
        {
            LineReport[] a = [.. straight.Lines.Where(l => l.Family == family)], b = [.. turned.Lines.Where(l => l.Family == family).Reverse()];
            for (int i = 0; i < a.Length; i++) AssertWithin(a[i].OffsetMm, b[i].OffsetMm, -1);
        }
    }

    /// <summary>External check N4: saved once more as JPEG, every offset stays within its uncertainty.</summary>
    [Fact]
    public void Measurement_OfResavedPhoto_StaysWithinUncertainty()
    {
        SyntheticPhoto photo = Square(7202);
        AccuracyReport first = Measure(photo.ToJpeg(95), photo.Truth.Grid, photo.Truth.Corners);
        AccuracyReport second = Measure(photo.ToJpeg(90), photo.Truth.Grid, photo.Truth.Corners);
        for (int i = 0; i < first.Lines.Count; i++)
        {
            AssertWithin(first.Lines[i].OffsetMm, second.Lines[i].OffsetMm, 1);
            AssertWithin(first.Lines[i].StraightnessRmsMm, second.Lines[i].StraightnessRmsMm, 1);
        }
    }

    [Fact]
    public void Measurement_OfEveryIntendedLine_KeepsItsEntry()
    {
        SyntheticPhoto photo = Square(7203);
        AccuracyReport report = Measure(photo.ToJpeg(90), photo.Truth.Grid, photo.Truth.Corners);
        Assert.Equal(photo.Truth.Grid.Lines.Select(l => l.Id), report.Lines.Select(l => l.Id));
        Assert.Equal(photo.Truth.Grid.Nodes.Select(n => n.Id), report.Intersections.Select(n => n.Id));
        Assert.Equal(AccuracyReport.SchemaName, report.Schema);
        AccuracyReport back = ReportJson.Read(ReportJson.Write(report));
        Assert.Equal(report.Lines.Count, back.Lines.Count);
        Assert.Equal(100, report.ErrorBudget!.Causes.Sum(cause => cause.Percent), 3);
    }

    /// <summary>The first kind of line is judged by few probes and then by all; the second look found a line where none had been followed, and the measurement broke off.</summary>
    [Fact]
    public void Measurement_UnderGlare_WhereOneKindIsJudgedTwice_IsCautioned()
    {
        SyntheticPhoto photo = BadPhotos.Of(BadKind.Glare, 59028, 100).Render();
        AccuracyReport report = Measure(photo.ToJpeg(90), photo.Truth.Grid, photo.Truth.Corners with { UncertaintyPx = 0.5 });
        Assert.Equal("measured-with-cautions", report.Outcome);
        Assert.Contains(report.Reasons, r => r.Code == "photo-glare");
    }

    [Fact]
    public void Measurement_OfTinyBlock_IsRefusedForPixels()
    {
        SyntheticPhoto photo = Square(7204);
        PhotoPoint[] c = photo.Truth.Corners.ToArray();
        var grid = new IntendedGrid(new BlockSize(900, 900), [new LineFamily(0, 100, new BlockPoint(0, 900))]);
        AccuracyReport report = Measure(photo.ToJpeg(90), grid, BlockCorners.FromArray(c, 0));
        Assert.Equal(Outcomes.NotMeasurable, report.Outcome);
        Assert.Equal("too-few-pixels", report.Reasons[0].Code);
        Assert.All(report.Lines, l => Assert.Null(l.OffsetMm.Value));
    }

    private static void AssertWithin(MeasuredValue a, MeasuredValue b, double sign)
    {
        double u = Math.Sqrt(Math.Pow(a.U!.Value, 2) + Math.Pow(b.U!.Value, 2));
        Assert.True(Math.Abs(a.Value!.Value - sign * b.Value!.Value) <= 2 * u, $"{a.Value} against {sign * b.Value}, u of the difference {u}");
    }

    private static SyntheticPhoto Square(int seed)
    {
        var size = new BlockSize(110, 110);
        return SceneRenderer.Render(new SceneSettings
        {
            Seed = seed,
            Size = size,
            Families = SceneSettings.NamedFamilies("square", 22, size),
            Camera = SceneSettings.Framing(size, pixelsPerMm: 8, marginMm: 20) with { TiltDeg = 6 },
        });
    }
}
