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
        using Mat grey = new(), small = new();
        Cv2.CvtColor(photo.Bgr, grey, ColorConversionCodes.BGR2GRAY);
        double k = Math.Min(1, SearchSidePx / Math.Max(grey.Cols, grey.Rows));
        if (k < 1) Cv2.Resize(grey, small, new Size(), k, k, InterpolationFlags.Area);
        else grey.CopyTo(small);
        using Dictionary dictionary = CvAruco.GetPredefinedDictionary(PredefinedDictionaryType.Dict4X4_50);
        var parameters = new DetectorParameters { CornerRefinementMethod = CornerRefineMethod.None };
        using var detector = new ArucoDetector(dictionary, parameters, new RefineParameters(10, 3, true));
        detector.DetectMarkers(small, out Point2f[][] corners, out int[] ids, out _);
        var found = new Dictionary<int, PhotoPoint[]>();
        for (int i = 0; i < ids.Length; i++)
            if ((ids[i] < BlockMarks.Count || CornerRule.Marks.Any(m => m.Id == ids[i])) && !found.ContainsKey(ids[i])) found[ids[i]] = Refine(grey, corners[i], k);
        return found;
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
