using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Reference;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Reference;
using OpenCvSharp;
using OpenCvSharp.Aruco;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Reference;

public class ReferenceTests(ITestOutputHelper output)
{
    private static readonly BlockSize Size = new(203.2, 203.2);

    // K1 of the external checks: the dictionary of 50 marks of 4 x 4 cells has a least Hamming distance of 4, turns counted.
    [Fact]
    public void Marks_AreAtLeastFourCellsApart_InEveryTurn()
    {
        List<bool[,]> marks = [.. CornerRule.Marks.Select(m => ReferenceMarks.CellsOf(m.Id))];
        for (int a = 0; a < marks.Count; a++)
            for (int b = 0; b < marks.Count; b++)
            {
                bool[,] turned = marks[b];
                for (int turn = 0; turn < 4; turn++, turned = Turn(turned))
                    if (a != b || turn > 0) Assert.True(Apart(marks[a], turned) >= 4);
            }
    }

    // K2 of the external checks (ISO 216, US Letter): the rule fits both papers with 10 mm to spare.
    [Fact]
    public void Rule_FitsA4AndLetter()
    {
        Assert.True(CornerRule.RightArmMm + 20 <= 210);
        Assert.True(CornerRule.DownArmMm + 20 <= 279.4);
    }

    private sealed record Laid(Photo Photo, BlockCorners Corners) : IDisposable
    {
        public void Dispose() => Photo.Dispose();
    }

    /// <summary>A table with a block of the given true size and, beside it, either the rule (marks from OpenCV's own generator) or a card.</summary>
    private static Laid Lay(double widthMm, double heightMm, double printScale, bool card, double shearMm = 0)
    {
        const double perMm = 8;
        using var table = new Mat(2900, 2900, MatType.CV_8UC3, new Scalar(95, 125, 150));
        Point At(double x, double y) => new((int)Math.Round((x + 60) * perMm), (int)Math.Round((y + 60) * perMm));
        Cv2.FillConvexPoly(table, [At(0, 0), At(widthMm, 0), At(widthMm + shearMm, heightMm), At(shearMm, heightMm)], new Scalar(200, 210, 225), LineTypes.AntiAlias);
        if (card) DrawCard(table, At(40, heightMm + 12), perMm);
        else DrawRule(table, At(-30 * printScale - 4, -30 * printScale - 4), perMm * printScale);
        Point2f[] from = [new(0, 0), new(2900, 0), new(2900, 2900), new(0, 2900)], to = [new(420, 210), new(2600, 130), new(2820, 2330), new(230, 2250)];
        using Mat map = Cv2.GetPerspectiveTransform(from, to), photo = new();
        Cv2.GaussianBlur(table, table, new Size(0, 0), 1.2);
        Cv2.WarpPerspective(table, photo, map, new Size(3000, 2400), InterpolationFlags.Linear, BorderTypes.Constant, new Scalar(95, 125, 150));
        Cv2.ImEncode(".jpg", photo, out byte[] bytes);
        Point2f[] seen = Cv2.PerspectiveTransform([Float(At(0, 0)), Float(At(widthMm, 0)), Float(At(widthMm + shearMm, heightMm)), Float(At(shearMm, heightMm))], map);
        return new Laid(PhotoReader.Read(bytes, "laid.jpg"), BlockCorners.FromArray([.. seen.Select(p => new PhotoPoint(p.X, p.Y))], 0.3));
    }

    private static void DrawRule(Mat table, Point start, double perMm)
    {
        using Dictionary dictionary = CvAruco.GetPredefinedDictionary(PredefinedDictionaryType.Dict4X4_50);
        int right = (int)(CornerRule.RightArmMm * perMm), down = (int)(CornerRule.DownArmMm * perMm), arm = (int)(CornerRule.ArmWidthMm * perMm);
        Cv2.Rectangle(table, new Rect(start.X, start.Y, right, arm), Scalar.All(240), -1);
        Cv2.Rectangle(table, new Rect(start.X, start.Y, arm, down), Scalar.All(240), -1);
        foreach (RuleMark mark in CornerRule.Marks)
        {
            int side = (int)Math.Round(CornerRule.MarkSideMm * perMm);
            using Mat drawn = new(), colour = new();
            dictionary.GenerateImageMarker(mark.Id, side, drawn, 1);
            Cv2.CvtColor(drawn, colour, ColorConversionCodes.GRAY2BGR);
            BlockPoint corner = mark.Corners()[0];
            // Mark pixels start half a pixel before their centres.
            var place = new Rect(start.X + (int)Math.Round(corner.Xmm * perMm), start.Y + (int)Math.Round(corner.Ymm * perMm), side, side);
            using Mat target = table[place];
            colour.CopyTo(target);
        }
    }

    private static void DrawCard(Mat table, Point start, double perMm)
    {
        int w = (int)Math.Round(85.60 * perMm), h = (int)Math.Round(53.98 * perMm), r = (int)Math.Round(3.18 * perMm);
        var colour = new Scalar(140, 60, 40);
        Cv2.Rectangle(table, new Rect(start.X + r, start.Y, w - 2 * r, h), colour, -1);
        Cv2.Rectangle(table, new Rect(start.X, start.Y + r, w, h - 2 * r), colour, -1);
        foreach ((int x, int y) in new[] { (r, r), (w - r - 1, r), (r, h - r - 1), (w - r - 1, h - r - 1) })
            Cv2.Circle(table, new Point(start.X + x, start.Y + y), r, colour, -1, LineTypes.AntiAlias);
        Cv2.Rectangle(table, new Rect(start.X + 60, start.Y + 90, 90, 70), new Scalar(90, 190, 210), -1);
    }

    [Theory]
    [InlineData(203.2, 203.2, 0)]
    [InlineData(200.8, 203.2, 0)]
    [InlineData(201.5, 199.0, 0)]
    [InlineData(203.2, 203.2, 3)]
    public void CornerRule_GivesTheBlocksTrueSize(double widthMm, double heightMm, double shearMm)
    {
        using Laid laid = Lay(widthMm, heightMm, 1, false, shearMm);
        IReadOnlyDictionary<int, PhotoPoint[]> marks = ReferenceMarks.Find(laid.Photo);
        Assert.Equal(CornerRule.Marks.Select(m => m.Id).Order(), marks.Keys.Order());
        ScaleCheck check = ReferenceFinder.Check(laid.Photo, laid.Corners, Size, false)!;
        output.WriteLine($"{check} {string.Join(' ', check.Notes(Size))}");
        Assert.Equal(widthMm, check.WidthMm, 0.0015 * widthMm);
        Assert.Equal(Math.Sqrt(heightMm * heightMm + shearMm * shearMm), check.HeightMm, 0.0015 * heightMm);
        double falling = Math.Sqrt(Math.Pow(widthMm + shearMm, 2) + heightMm * heightMm), rising = Math.Sqrt(Math.Pow(widthMm - shearMm, 2) + heightMm * heightMm);
        Assert.Equal(falling - rising, check.FallingMm - check.RisingMm, 0.5);
        Assert.Equal(Math.Abs(widthMm / 203.2 - 1) > 0.005, check.Notes(Size).Any(n => n.Contains("wide against", StringComparison.Ordinal)));
        Assert.Equal(shearMm > 2, check.Notes(Size).Any(n => n.Contains("out of square", StringComparison.Ordinal)));
    }

    // K4 of the external checks: a Letter page shrunk onto A4 prints at 0.9727, A4 onto Letter at 0.9407; 0.5 % must be told.
    [Theory]
    [InlineData(0.9727)]
    [InlineData(0.9407)]
    public void RulePrintedFitToPage_IsToldAsWrongSize(double printScale)
    {
        using Laid laid = Lay(203.2, 203.2, printScale, false);
        ScaleCheck check = ReferenceFinder.Check(laid.Photo, laid.Corners, Size, false)!;
        Assert.Equal(203.2 / printScale, check.WidthMm, 0.5);
        Assert.NotEmpty(check.Notes(Size));
    }

    // K2 of the external checks: ISO/IEC 7810 ID-1 is 85.60 x 53.98 mm with corners of 2.88 to 3.48 mm radius.
    [Theory]
    [InlineData(203.2, 203.2)]
    [InlineData(199.2, 203.2)]
    public void Card_GivesTheBlocksTrueSize(double widthMm, double heightMm)
    {
        using Laid laid = Lay(widthMm, heightMm, 1, true);
        ScaleCheck? check = ReferenceFinder.Check(laid.Photo, laid.Corners, Size, true);
        Assert.NotNull(check);
        output.WriteLine(check.ToString());
        Assert.Equal(widthMm, check.WidthMm, 0.006 * widthMm);
        Assert.Equal(heightMm, check.HeightMm, 0.006 * heightMm);
    }

    [Fact]
    public void WithoutReference_ThereIsNoScaleCheck()
    {
        using var photo = new Photo(new Mat(900, 1200, MatType.CV_8UC3, Scalar.All(150)), "a", "", PhotoMetadata.None);
        var corners = new BlockCorners(new(200, 100), new(800, 100), new(800, 700), new(200, 700), 0.5);
        Assert.Null(ReferenceFinder.Check(photo, corners, Size, true));
    }

    private static bool[,] Turn(bool[,] cells)
    {
        int n = cells.GetLength(0);
        var turned = new bool[n, n];
        for (int r = 0; r < n; r++)
            for (int c = 0; c < n; c++) turned[c, n - 1 - r] = cells[r, c];
        return turned;
    }

    private static int Apart(bool[,] a, bool[,] b)
    {
        int apart = 0;
        for (int r = 0; r < 6; r++)
            for (int c = 0; c < 6; c++)
                if (a[r, c] != b[r, c]) apart++;
        return apart;
    }

    private static Point2f Float(Point p) => new(p.X - 0.5f, p.Y - 0.5f);
}
