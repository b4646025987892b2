using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline.Tests;

/// <summary>Corners that were found and gravely doubted: where the doubt is about the lines alone, the traced lines settle it. Truth: the renderer's.</summary>
public sealed class SettledCornersTests
{
    private const string AboutLines = "the stitched lines would fit an outline some millimetres away better", Other = "another outline in the photo fits nearly as well";

    private static readonly SyntheticPhoto s_photo = SceneRenderer.Render(SceneSettings.Random(7101, Tier.Easy, sideMm: 110));

    private static AccuracyReport Measure(string[] graves, double movedMm = 0, bool leftToo = false)
    {
        using Photo photo = PhotoReader.Read(s_photo.ToJpeg(90), "block.jpg");
        PhotoPoint[] corners = s_photo.Truth.Corners.ToArray();
        double movedPx = movedMm * corners[0].DistanceTo(corners[1]) / 110, leftPx = leftToo ? movedPx : 0;
        var covariance = new double[8, 8];
        for (int i = 0; i < 8; i++) covariance[i, i] = 1;
        var found = new FoundBlock
        {
            Corners = BlockCorners.FromArray([new(corners[0].X + leftPx, corners[0].Y), new(corners[1].X + movedPx, corners[1].Y), new(corners[2].X + movedPx, corners[2].Y), new(corners[3].X + leftPx, corners[3].Y)], 1),
            CovariancePx = covariance,
            Confidence = CornerConfidence.Low,
            Doubts = [AboutLines, Other],
            GraveDoubts = graves,
        };
        return new BlockAnalyzer().Analyze(photo, s_photo.Truth.Grid, new AnalysisSettings { AlreadyFound = found, WithPicture = false }).Report;
    }

    [Fact]
    public void GraveDoubtsAboutTheLinesAlone_AreSettledByTheLines()
    {
        AccuracyReport report = Measure([AboutLines]);
        Assert.Equal(Outcomes.WithCautions, report.Outcome);
        Assert.Equal("medium", report.Block!.CornerConfidence);
        // What was doubted besides is still said.
        Assert.Contains(report.Reasons, r => r.Message.Contains(Other, StringComparison.Ordinal));
        Assert.DoesNotContain(report.Reasons, r => r.Message.Contains(AboutLines, StringComparison.Ordinal));
    }

    [Fact]
    public void OtherGraveDoubts_AreNot()
    {
        Assert.Equal("low-corner-confidence", Assert.Single(Measure([AboutLines, Other]).Reasons).Code);
        Assert.Equal("low-corner-confidence", Assert.Single(Measure([]).Reasons).Code);
    }

    /// <summary>The outline lies more than half a line's distance to the right: the lines ask for it a line farther on, where there are no seams.</summary>
    [Fact]
    public void AnOutlineThatIsNotTheBlocks_IsNotSettled() => Assert.Equal("low-corner-confidence", Assert.Single(Measure([AboutLines], 15, leftToo: true).Reasons).Code);

    /// <summary>One side beyond the block: the lines do not settle that, but they ask for the side where its seam is.</summary>
    [Theory]
    [InlineData(4)]
    [InlineData(8)]
    [InlineData(16)]
    public void AnOutlineWithASideBesideTheBlocks_IsLookedForWhereTheLinesAskForIt(double movedMm)
    {
        AccuracyReport report = Measure([AboutLines], movedMm);
        Assert.Equal("medium", report.Block!.CornerConfidence);
        Assert.All(Enumerable.Range(0, 4), k => Assert.InRange(s_photo.Truth.Corners.ToArray()[k].DistanceTo(new PhotoPoint(report.Block.CornersPx[k][0], report.Block.CornersPx[k][1])) / report.Block.PixelsPerMm, 0, 0.5));
    }

    /// <summary>A corner that was surely found, as it seemed, 4 mm beside the block's: the lines of all families tell, and the seam is found where they ask for it. Where the corner is right nothing is said.</summary>
    [Fact]
    public void AFoundCornerThatTheLinesAskForElsewhere_IsLookedForThere()
    {
        SyntheticPhoto block = SceneRenderer.Render(SceneSettings.Random(7103, Tier.Easy, sideMm: 150));
        AccuracyReport right = MeasureFound(block, 0), wrong = MeasureFound(block, 4);
        Assert.Equal("high", right.Block!.CornerConfidence);
        Assert.DoesNotContain(right.Reasons, r => r.Code == "check-corners");
        Assert.Equal("medium", wrong.Block!.CornerConfidence);
        Assert.Contains(wrong.Reasons, r => r.Code == "check-corners" && r.Message.Contains("top right", StringComparison.Ordinal));
        PhotoPoint[] truth = block.Truth.Corners.ToArray();
        Assert.All(Enumerable.Range(0, 4), k => Assert.InRange(truth[k].DistanceTo(new PhotoPoint(wrong.Block.CornersPx[k][0], wrong.Block.CornersPx[k][1])) / wrong.Block.PixelsPerMm, 0, 1));
    }

    /// <summary>Where no seam lies where the lines ask for the corner, it stays, named, and places are as unsure as that: 3 mm rectangular at that corner (JCGM 100, 4.3.7).</summary>
    [Fact]
    public void ACornerAskedForWhereThereIsNoSeam_IsDoubted_AndPlacesAreLessSure()
    {
        var size = new BlockSize(150, 150);
        var corners = new BlockCorners(new(100, 100), new(1600, 100), new(1600, 1600), new(100, 1600), 2);
        var first = new CornerChoice(corners, "found", "high", CornerUncertainty.Of(corners, size));
        CornerChoice doubted = first.DoubtedBy(new TracedCorners(1, [0, 0, 0, 3, 0, 0, 0, 0]));
        Assert.Equal("medium", doubted.Confidence);
        Assert.Contains("top right corner were 3.0 mm", Assert.Single(doubted.Doubts), StringComparison.Ordinal);
        Assert.Equal(Math.Sqrt(0.2 * 0.2 + 3), Math.Sqrt(doubted.Uncertainty.At(new BlockPoint(150, 0)).Yy), 1e-6);
        Assert.True(doubted.Corners.UncertaintyPx > 2);
        Assert.Equal(corners.ToArray(), doubted.Corners.ToArray());
    }

    private static AccuracyReport MeasureFound(SyntheticPhoto block, double cornerOffMm)
    {
        using Photo photo = PhotoReader.Read(block.ToJpeg(90), "block.jpg");
        PhotoPoint[] corners = block.Truth.Corners.ToArray();
        double share = cornerOffMm / block.Truth.Grid.Size.HeightMm;
        corners[1] = new PhotoPoint(corners[1].X + share * (corners[2].X - corners[1].X), corners[1].Y + share * (corners[2].Y - corners[1].Y));
        var covariance = new double[8, 8];
        for (int i = 0; i < 8; i++) covariance[i, i] = 1;
        var found = new FoundBlock { Corners = BlockCorners.FromArray(corners, 1), CovariancePx = covariance, Confidence = CornerConfidence.High, Doubts = [], GraveDoubts = [] };
        return new BlockAnalyzer().Analyze(photo, block.Truth.Grid, new AnalysisSettings { AlreadyFound = found, WithPicture = false }).Report;
    }

    /// <summary>A block that lies turned by a quarter: its sides are turned with its corners, each still between the same two, so that the lines are held against the right one.</summary>
    [Fact]
    public void TurnedBlock_HasItsSidesTurnedToo()
    {
        using Photo photo = PhotoReader.Read(s_photo.ToJpeg(90), "block.jpg");
        PhotoPoint[] corners = s_photo.Truth.Corners.ToArray();
        string[] names = ["top", "right", "bottom", "left"];
        var found = new FoundBlock
        {
            Corners = BlockCorners.FromArray(corners, 1),
            CovariancePx = new double[8, 8],
            Confidence = CornerConfidence.High,
            Sides = [.. names.Select((name, k) => new SideReading(name, k + 1, 0.1, 0.1, 1))],
        };
        CornerChoice turned = CornerChoice.Choose(photo, s_photo.Truth.Grid, new AnalysisSettings { AlreadyFound = found, TurnDeg = 90 }, new Dictionary<int, PhotoPoint[]>())!;
        int first = Array.IndexOf(corners, turned.Corners.TopLeft);
        Assert.NotEqual(0, first);
        Assert.Equal(names, turned.Found!.Sides.Select(s => s.Side));
        Assert.Equal(Enumerable.Range(0, 4).Select(k => (first + k) % 4 + 1.0), turned.Found.Sides.Select(s => s.BowMm));
    }
}
