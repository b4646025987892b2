using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Truth: by construction. A printed block in a striped border, drawn square to the picture.</summary>
public class ClothSightTests
{
    private const int PerMm = 3, MarginMm = 40, SideMm = 150, Looks = 40;

    private static readonly BlockSize Size = new(SideMm, SideMm);

    /// <summary>Dots on the block; stripes round it, or the same dots everywhere.</summary>
    private static Mat Photo(bool hasBorder)
    {
        int side = (SideMm + 2 * MarginMm) * PerMm;
        var photo = new Mat(side, side, MatType.CV_8UC3, new Scalar(180, 200, 220));
        for (int y = 4; y < side; y += 30)
            for (int x = 4; x < side; x += 30) Cv2.Circle(photo, new Point(x + y % 60 / 2, y), 6, new Scalar(60, 60, 170), -1);
        if (!hasBorder) return photo;
        int from = MarginMm * PerMm, to = (MarginMm + SideMm) * PerMm;
        using var border = new Mat(side, side, MatType.CV_8UC3, new Scalar(120, 150, 60));
        for (int x = 0; x < side; x += 24) Cv2.Rectangle(border, new Rect(x, 0, 12, side), new Scalar(90, 60, 30), -1);
        photo[from, to, from, to].CopyTo(border[from, to, from, to]);
        border.CopyTo(photo);
        return photo;
    }

    private static ClothSight Sight(Mat photo, int rightBeyondMm)
    {
        EvidenceMap map = EvidenceMap.Of(new Photo(photo, "cloths", "", PhotoMetadata.None));
        double low = MarginMm * PerMm - 0.5, high = (MarginMm + SideMm) * PerMm - 0.5, right = high + rightBeyondMm * PerMm;
        return ClothSight.Of(map, [(low, low), (right, low), (right, high), (low, high)], Size, Looks)!;
    }

    [Fact]
    public void Of_ABlockInABorder_SeesOneClothWithinAndAnotherBeyondEverySide()
    {
        using Mat photo = Photo(true);
        ClothSight sight = Sight(photo, 0);
        Assert.True(sight.EndsAllRound, $"within {sight.Within.Min():0.00} beyond {sight.Beyond.Max():0.00}");
        Assert.InRange(sight.End(0, -1), -0.2, 0);
        Assert.Equal(0.7, sight.End(0, 0.7), 12);
    }

    [Fact]
    public void Of_APlaceThatReachesIntoTheBorder_IsWorthLess()
    {
        using Mat photo = Photo(true);
        ClothSight right = Sight(photo, 0), wrong = Sight(photo, 15);
        Assert.True(wrong.Within[1] < 0.3, $"within {wrong.Within[1]:0.00}");
        Assert.True(right.Score > wrong.Score + 0.3);
    }

    [Fact]
    public void Of_APlaceThatEndsWithinTheBlock_IsUneven()
    {
        using Mat photo = Photo(true);
        ClothSight right = Sight(photo, 0), wrong = Sight(photo, -30);
        Assert.True(wrong.Across[1] > 0.6, $"across {wrong.Across[1]:0.00}");
        Assert.True(right.Score > wrong.Score + 0.1);
    }

    [Fact]
    public void Of_ADitchWithinOneCloth_NeitherSpeaksForNorAgainst()
    {
        using Mat photo = Photo(false);
        ClothSight sight = Sight(photo, 0);
        Assert.False(sight.EndsAllRound);
        Assert.True(sight.End(0, -1) < -0.6, $"end {sight.End(0, -1):0.00}");
        Assert.True(sight.Across.Min() > 0.6);
    }
}
