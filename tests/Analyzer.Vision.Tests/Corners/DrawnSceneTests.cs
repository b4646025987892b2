using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Blocks of widely different make; the truth is known by construction.</summary>
public class DrawnSceneTests(ITestOutputHelper output)
{
    /// <summary>A corner farther off than this is wrong, mm.</summary>
    private const double WrongMm = 2;

    private static FoundBlock? Find(DrawnScene scene)
    {
        using Photo photo = PhotoReader.Read(scene.Jpeg, "drawn.jpg");
        return BlockFinder.Find(photo, scene.Grid);
    }

    // 10 and 13: the cloth goes on beyond the stitched edge, by 3 and 10 mm; 3: part of a larger quilt; 19: printed border on a cutting mat.
    [Theory]
    [InlineData(3)]
    [InlineData(10)]
    [InlineData(13)]
    [InlineData(19)]
    public void Find_WhereTwoOutlinesLieClose_TakesTheOneTheLinesEndAt(int seed)
    {
        using DrawnScene scene = DrawnScene.Draw(seed);
        FoundBlock? found = Find(scene);
        Assert.NotNull(found);
        double worst = scene.WorstMm(found.Corners.ToArray());
        output.WriteLine($"{scene.What}: {worst:0.00} mm, {found.Confidence}; {string.Join("; ", found.Doubts)}");
        Assert.True(worst < WrongMm, $"{worst:0.00} mm");
    }

    // 9531, 9617: bolder lines than the block's sides all round it; 9557: a border's print.
    [Theory]
    [InlineData(9531)]
    [InlineData(9557)]
    [InlineData(9617)]
    public void Find_WhereTheSidesAreNotAmongTheSeams_TakesThePlaceThatTheStitchedLinesTell(int seed)
    {
        using DrawnScene scene = DrawnScene.Draw(seed);
        FoundBlock? found = Find(scene);
        Assert.NotNull(found);
        Assert.Equal(CornerConfidence.Medium, found.Confidence);
        Assert.True(scene.WorstMm(found.Corners.ToArray()) < WrongMm);
    }

    // 12: stripes as wide apart as nothing else; 31: 1.5 px/mm, too coarse to measure.
    [Theory]
    [InlineData(12)]
    [InlineData(31)]
    public void Find_WhereTheBlockCannotBeToldApart_IsRightOrSaysLowConfidence(int seed)
    {
        using DrawnScene scene = DrawnScene.Draw(seed);
        FoundBlock? found = Find(scene);
        Assert.True(found is null || found.Confidence == CornerConfidence.Low || scene.WorstMm(found.Corners.ToArray()) < WrongMm);
    }
}
