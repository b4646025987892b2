using Analyzer.Core.Geometry;
using Analyzer.Core.Reference;
using Analyzer.Vision.Photos;
using OpenCvSharp;
using OpenCvSharp.Aruco;

namespace Analyzer.Vision.Reference;

/// <summary>The square marks of the corner rule: their cells for printing, and finding them in a photo.</summary>
public static class ReferenceMarks
{
    /// <summary>The longer side of the picture in which marks are first looked for, px.</summary>
    private const double SearchSidePx = 2200;

    /// <summary>The shortest that this side is made where the photo has at least twice as many: whole pixels are averaged much faster than parts of them.</summary>
    private const double LeastSearchSidePx = 1800;

    /// <summary>The smaller of the two windows in which black and white are told apart, px. A finer one sees the cloth's weave, and costs as much as both.</summary>
    private const int FinestWindowPx = 11;

    /// <summary>Cells across a mark with its black rim.</summary>
    public const int Cells = 6;

    /// <summary>Cells of a mark, [row, column], true = black, rim included.</summary>
    public static bool[,] CellsOf(int id)
    {
        using Dictionary dictionary = CvAruco.GetPredefinedDictionary(PredefinedDictionaryType.Dict4X4_50);
        using Mat drawn = new();
        dictionary.GenerateImageMarker(id, Cells, drawn, 1);
        var cells = new bool[Cells, Cells];
        for (int r = 0; r < Cells; r++)
            for (int c = 0; c < Cells; c++) cells[r, c] = drawn.At<byte>(r, c) < 128;
        return cells;
    }

    /// <summary>Corners of the rule's marks in the photo (px), by mark number; marks with numbers that are not the rule's are left out.</summary>
    public static IReadOnlyDictionary<int, PhotoPoint[]> Find(Photo photo) =>
        FindAll(photo).Where(p => CornerRule.Marks.Any(m => m.Id == p.Key)).ToDictionary(p => p.Key, p => p.Value);

    /// <summary>The same with the marks that a template prints outside the block's corners.</summary>
    public static IReadOnlyDictionary<int, PhotoPoint[]> FindAll(Photo photo)
    {
        using Mat small = Small(photo, out double k);
        using Dictionary dictionary = CvAruco.GetPredefinedDictionary(PredefinedDictionaryType.Dict4X4_50);
        var parameters = new DetectorParameters
        {
            CornerRefinementMethod = CornerRefineMethod.None,
            AdaptiveThreshWinSizeMin = FinestWindowPx,
            AdaptiveThreshWinSizeMax = 2 * FinestWindowPx + 1,
            AdaptiveThreshWinSizeStep = FinestWindowPx + 1,
        };
        using var detector = new ArucoDetector(dictionary, parameters, new RefineParameters(10, 3, true));
        detector.DetectMarkers(small, out Point2f[][] corners, out int[] ids, out _);
        var found = new Dictionary<int, PhotoPoint[]>();
        if (ids.Length == 0) return found;
        using var grey = new Mat();
        Cv2.CvtColor(photo.Bgr, grey, ColorConversionCodes.BGR2GRAY);
        for (int i = 0; i < ids.Length; i++)
            if ((ids[i] < BlockMarks.Count || CornerRule.Marks.Any(m => m.Id == ids[i])) && !found.ContainsKey(ids[i])) found[ids[i]] = Refine(grey, corners[i], k);
        return found;
    }

    /// <summary>The grey picture in which marks are first looked for, and its pixels for each of the photo's.</summary>
    private static Mat Small(Photo photo, out double scale)
    {
        var small = new Mat();
        double side = Math.Max(photo.WidthPx, photo.HeightPx);
        if (side >= 2 * LeastSearchSidePx)
        {
            int of = (int)(side / LeastSearchSidePx);
            scale = 1.0 / of;
            Cv2.CvtColor(photo.Shrunk(of), small, ColorConversionCodes.BGR2GRAY);
            return small;
        }
        scale = Math.Min(1, SearchSidePx / side);
        if (scale == 1)
        {
            Cv2.CvtColor(photo.Bgr, small, ColorConversionCodes.BGR2GRAY);
            return small;
        }
        using var grey = new Mat();
        Cv2.CvtColor(photo.Bgr, grey, ColorConversionCodes.BGR2GRAY);
        Cv2.Resize(grey, small, new Size(), scale, scale, InterpolationFlags.Area);
        return small;
    }

    /// <summary>Sub-pixel corners at full size: the crossing of the black square's sides by local gradients.</summary>
    private static PhotoPoint[] Refine(Mat grey, Point2f[] rough, double k)
    {
        Point2f[] full = [.. rough.Select(p => new Point2f((float)((p.X + 0.5) / k - 0.5), (float)((p.Y + 0.5) / k - 0.5)))];
        double side = Math.Sqrt(Math.Pow(full[0].X - full[1].X, 2) + Math.Pow(full[0].Y - full[1].Y, 2));
        int window = (int)Math.Clamp(side / 18, 3, 12);
        Point2f[] fine = Cv2.CornerSubPix(grey, full, new Size(window, window), new Size(-1, -1), new TermCriteria(CriteriaTypes.Eps | CriteriaTypes.MaxIter, 40, 0.005));
        return [.. fine.Select(p => new PhotoPoint(p.X, p.Y))];
    }
}
