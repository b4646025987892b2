using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline.Tests;

/// <summary>Unknown and wrong patterns; truth is the grid the scene was stitched on.</summary>
public sealed class OtherGridTests
{
    private static readonly BlockSize Size = new(110, 110);

    private static readonly Lazy<SyntheticPhoto> Diamond = new(() => SceneRenderer.Render(new SceneSettings
    {
        Seed = 5,
        Size = Size,
        Families = SceneSettings.NamedFamilies("diamond", 19.05, Size),
        Stitch = new StitchSettings { ExtraLines = 1 },
        Camera = SceneSettings.Framing(Size, 8, 12),
    }));

    private static AccuracyReport Measure(IntendedGrid grid, bool unknown)
    {
        using Photo read = PhotoReader.Read(Diamond.Value.ToJpeg(90), "other.jpg");
        return new BlockAnalyzer().Analyze(read, grid, new AnalysisSettings { GivenCorners = Diamond.Value.Truth.Corners, CornersExact = true, WithPicture = false, GridUnknown = unknown }).Report;
    }

    private static IntendedGrid Grid(string name, double spacingMm) => new(Size, SceneSettings.NamedFamilies(name, spacingMm, Size));

    [Fact]
    public void UnknownPattern_IsFoundAndMeasured()
    {
        AccuracyReport report = Measure(BlockAnalyzer.SizeOnly(Size), unknown: true);
        Assert.NotEqual("not-measurable", report.Outcome);
        Assert.Equal(2, report.Grid!.Families.Count);
        foreach (FamilyInfo family in report.Grid.Families)
        {
            // Seven lines of 0.3 mm and 0.15 degrees scatter: their mean spacing is good to 0.3 mm, their mean angle to 0.3 degrees.
            Assert.Equal(45, Math.Abs(family.AngleDeg), 0.35);
            Assert.Equal(19.05, family.SpacingMm, 0.3);
        }
        Assert.Contains("diamond", report.GridSuggestion!.Message, StringComparison.Ordinal);
        Assert.Equal("--grid \"diamond:3/4in\"", report.GridSuggestion.CommandOptions);
        Assert.All(report.Lines.Where(l => l.Status == "measured"), l => Assert.True(Math.Abs(l.OffsetMm.Value!.Value) < 1.2, $"{l.Id} {l.OffsetMm.Value}"));
    }

    [Theory]
    [InlineData("square", 19.05)]
    [InlineData("diamond", 25.4)]
    public void WrongPattern_IsNamedWithTheRightOne(string given, double spacingMm)
    {
        AccuracyReport report = Measure(Grid(given, spacingMm), unknown: false);
        Assert.Contains(report.Reasons, r => r.Code == "other-grid");
        Assert.Equal("--grid \"diamond:3/4in\"", report.GridSuggestion!.CommandOptions);
    }

    /// <summary>Lines hardly seen may look like 25 mm where an inch was meant: that is the pattern given, and not offered as another.</summary>
    [Theory]
    [InlineData("triangle", 25, true)]
    [InlineData("triangle", 24, false)]
    [InlineData("diamond", 25.4, false)]
    public void NearlyThePatternGiven_IsNotOfferedAsAnother(string name, double spacingMm, bool same)
    {
        FamilyInfo[] families = [.. Grid(name, spacingMm).Families.Select((f, i) => new FamilyInfo(i, f.AngleDeg, f.SpacingMm, [f.Through.Xmm, f.Through.Ymm]))];
        Assert.Equal(same, OtherGrid.IsSame(Grid("triangle", 25.4), new GridSuggestion(families, "", "")));
    }

    /// <summary>Dark thread beside silver pencil, hardly to be seen; what little is seen looks like 25 mm. It is refused for what it is.</summary>
    [Fact]
    public void NearlyThePatternGiven_IsNoReasonToRefuse()
    {
        SyntheticPhoto hard = SceneRenderer.Render(SceneSettings.Random(560024, Tier.Hard, 110));
        using Photo read = PhotoReader.Read(hard.ToJpeg(90), "hard.jpg");
        AccuracyReport report = new BlockAnalyzer().Analyze(read, hard.Truth.Grid, new AnalysisSettings { GivenCorners = hard.Truth.Corners, CornersExact = true, WithPicture = false }).Report;
        Assert.Null(report.GridSuggestion);
        Assert.DoesNotContain(report.Reasons, r => r.Code == "other-grid");
    }

    /// <summary>A whole grid 4 mm to the right and 3 mm up is said once, not as lines that are all off.</summary>
    [Fact]
    public void MovedPattern_IsSaidAsAWhole()
    {
        var moved = new IntendedGrid(Size, SceneSettings.NamedFamilies("diamond", 19.05, Size).Select(f => new LineFamily(f.AngleDeg, f.SpacingMm, new BlockPoint(f.Through.Xmm - 4, f.Through.Ymm + 3))));
        AccuracyReport report = Measure(moved, unknown: false);
        Reason reason = Assert.Single(report.Reasons, r => r.Code == "grid-moved");
        Assert.Matches(@"moved (3\.[5-9]|4\.[0-5]) mm to the right and (2\.[5-9]|3\.[0-5]) mm up", reason.Message);
    }

    /// <summary>A line that belongs to no family is listed as extra and forced onto none.</summary>
    [Fact]
    public void FreeLine_IsListedAsExtra()
    {
        AccuracyReport report = Measure(Diamond.Value.Truth.Grid, unknown: false);
        BlockPoint[] truth = [.. Diamond.Value.Truth.ExtraLines.Single()];
        BlockPoint middle = truth[truth.Length / 2];
        Assert.True(report.ExtraLines.Any(e => Distance(e, middle) < 2.5),
            $"the run passes {middle}; told: {string.Join("; ", report.ExtraLines.Select(e => $"{e.FromMm[0]:0},{e.FromMm[1]:0} to {e.ToMm[0]:0},{e.ToMm[1]:0}"))}");
    }

    private static double Distance(ExtraLine e, BlockPoint p)
    {
        double dx = e.ToMm[0] - e.FromMm[0], dy = e.ToMm[1] - e.FromMm[1];
        return Math.Abs((p.Xmm - e.FromMm[0]) * dy - (p.Ymm - e.FromMm[1]) * dx) / Math.Sqrt(dx * dx + dy * dy);
    }
}
