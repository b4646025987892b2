using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline.Tests;

/// <summary>Given corners and --turn, on a block that is not square. Truth: rendered; a quarter turn makes the next corner the first.</summary>
public sealed class GivenCornersTests
{
    /// <summary>Corners in the report are rounded to thousandths, px.</summary>
    private const double SamePx = 0.002;

    private static readonly BlockSize Size = new(120, 90);

    private static readonly Lazy<SyntheticPhoto> Rendered = new(() => SceneRenderer.Render(SceneSettings.Random(seed: 7, Tier.Easy, sideMm: 110) with
    {
        Size = Size,
        GridName = "square:30mm",
        Families = NamedGrids.Families("square", Length.FromMillimetres(30), Size)!,
        Camera = SceneSettings.Framing(Size, 8, 24) with { TiltDeg = 4, TiltTowardDeg = 60 },
    }));

    private static AccuracyReport Measure(int turnDeg)
    {
        using Photo photo = PhotoReader.Read(Rendered.Value.ToJpeg(), "block.jpg");
        return new BlockAnalyzer().Analyze(photo, Rendered.Value.Truth.Grid, new AnalysisSettings { GivenCorners = Rendered.Value.Truth.Corners, CornersExact = true, TurnDeg = turnDeg, WithPicture = false }).Report;
    }

    private static bool IsToldToLieOtherwise(AccuracyReport report) => report.Block!.Notes.Any(n => n.Contains("turned by a quarter", StringComparison.Ordinal));

    [Theory]
    [InlineData(0, 0, false)]
    [InlineData(90, 1, true)]
    [InlineData(180, 2, false)]
    [InlineData(270, 3, true)]
    public void Turn_MovesTheNamesOfTheCornersOn_AndAShapeThatCannotBeIsTold(int turnDeg, int first, bool told)
    {
        AccuracyReport report = Measure(turnDeg);
        PhotoPoint[] truth = Rendered.Value.Truth.Corners.ToArray();
        Assert.All(Enumerable.Range(0, 4), i => Assert.InRange(new PhotoPoint(report.Block!.CornersPx[i][0], report.Block.CornersPx[i][1]).DistanceTo(truth[(i + first) % 4]), 0, SamePx));
        Assert.Equal(told, IsToldToLieOtherwise(report));
    }
}
