using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Reference;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Reference;
using OpenCvSharp;
using OpenCvSharp.Aruco;

namespace Analyzer.Vision.Tests.Reference;

/// <summary>K1: marks drawn by OpenCV's own generator (dictionary 4X4_50) and read back; corners are known by construction.</summary>
public class MarkedCornersTests
{
    private const double PerMm = 6, MarginMm = 40;

    /// <summary>A found corner may be off by this, px: a tenth of a millimetre.</summary>
    private const double RightPx = 0.5;

    /// <summary>The corner whose own mark is covered lies beyond the others: twice that.</summary>
    private const double ExtrapolatedPx = 1.0;

    private static readonly BlockSize Size = new(152.4, 101.6);

    private static (Photo Photo, PhotoPoint[] Truth) Draw(int quarterTurns, int missing)
    {
        using var sheet = new Mat((int)((Size.HeightMm + 2 * MarginMm) * PerMm), (int)((Size.WidthMm + 2 * MarginMm) * PerMm), MatType.CV_8UC1, Scalar.All(230));
        using Dictionary dictionary = CvAruco.GetPredefinedDictionary(PredefinedDictionaryType.Dict4X4_50);
        for (int id = 0; id < BlockMarks.Count; id++)
        {
            if (id == missing) continue;
            using var mark = new Mat();
            dictionary.GenerateImageMarker(id, (int)(BlockMarks.SideMm * PerMm), mark, 1);
            BlockPoint at = BlockMarks.Corners(id, Size)[0];
            using Mat part = sheet[new Rect((int)Math.Round((at.Xmm + MarginMm) * PerMm), (int)Math.Round((at.Ymm + MarginMm) * PerMm), mark.Cols, mark.Rows)];
            mark.CopyTo(part);
        }
        double w = Size.WidthMm, h = Size.HeightMm;
        Point2f On(double x, double y) => new((float)(Math.Round((x + MarginMm) * PerMm) - 0.5), (float)(Math.Round((y + MarginMm) * PerMm) - 0.5));
        Point2f[] from = [On(0, 0), On(w, 0), On(w, h), On(0, h)], seen = [new(400, 310), new(1230, 340), new(1190, 900), new(430, 870)];
        Point2f[] to = [.. Enumerable.Range(0, 4).Select(i => seen[(i + quarterTurns) % 4])];
        using Mat map = Cv2.GetPerspectiveTransform(from, to), grey = new(), photo = new();
        Cv2.GaussianBlur(sheet, sheet, new OpenCvSharp.Size(0, 0), 1);
        Cv2.WarpPerspective(sheet, grey, map, new OpenCvSharp.Size(1600, 1200), InterpolationFlags.Linear, BorderTypes.Constant, Scalar.All(200));
        Cv2.CvtColor(grey, photo, ColorConversionCodes.GRAY2BGR);
        Cv2.ImEncode(".png", photo, out byte[] bytes);
        return (PhotoReader.Read(bytes, "marks.png"), [.. to.Select(p => new PhotoPoint(p.X, p.Y))]);
    }

    [Theory]
    [InlineData(0, -1)]
    [InlineData(2, -1)]
    [InlineData(0, 2)]
    public void CornerMarks_GiveTheBlocksCornersAndItsUp(int quarterTurns, int missing)
    {
        (Photo photo, PhotoPoint[] truth) = Draw(quarterTurns, missing);
        using (photo)
        {
            BlockCorners? corners = MarkedCorners.Of(ReferenceMarks.FindAll(photo), Size);
            Assert.NotNull(corners);
            PhotoPoint[] found = corners.ToArray();
            Assert.All(Enumerable.Range(0, 4), i => Assert.True(truth[i].DistanceTo(found[i]) < (i == missing ? ExtrapolatedPx : RightPx), $"corner {i}: {truth[i].DistanceTo(found[i]):0.00} px"));
        }
    }

    [Fact]
    public void CornerMarks_OfATemplateOfAnotherSize_AreNotTaken()
    {
        (Photo photo, _) = Draw(0, -1);
        using (photo) Assert.Null(MarkedCorners.Of(ReferenceMarks.FindAll(photo), new BlockSize(250, 101.6)));
    }
}
