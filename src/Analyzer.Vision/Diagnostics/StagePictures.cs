using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Stitches;
using OpenCvSharp;

namespace Analyzer.Vision.Diagnostics;

/// <summary>One picture per stage, as PNG bytes, for whoever wants to see what the program saw.</summary>
public static class StagePictures
{
    /// <summary>The photo, reduced, with the block's outline and its corners numbered 1 to 4 from the top left.</summary>
    public static byte[] Corners(Photo photo, BlockCorners corners)
    {
        double scale = Math.Min(1, 1400.0 / Math.Max(photo.WidthPx, photo.HeightPx));
        using var small = new Mat();
        Cv2.Resize(photo.Bgr, small, new Size(), scale, scale, InterpolationFlags.Area);
        Point[] points = [.. corners.ToArray().Select(c => new Point((int)Math.Round(c.X * scale), (int)Math.Round(c.Y * scale)))];
        Cv2.Polylines(small, [points], true, new Scalar(255, 255, 255), 4, LineTypes.AntiAlias);
        Cv2.Polylines(small, [points], true, new Scalar(160, 60, 20), 2, LineTypes.AntiAlias);
        for (int i = 0; i < 4; i++)
        {
            Cv2.Circle(small, points[i], 12, new Scalar(160, 60, 20), 2, LineTypes.AntiAlias);
            Cv2.PutText(small, (i + 1).ToString(System.Globalization.CultureInfo.InvariantCulture), points[i] + new Point(14, -10), HersheyFonts.HersheySimplex, 0.8, new Scalar(160, 60, 20), 2, LineTypes.AntiAlias);
        }
        return Png(small);
    }

    /// <summary>Evidence of one family in its own raster: the brighter, the more like a stitched line of that direction.</summary>
    internal static byte[] Evidence(FamilyEvidence evidence, double cap)
    {
        var bytes = new byte[evidence.Rows * evidence.Cols];
        for (int row = 0; row < evidence.Rows; row++)
            for (int col = 0; col < evidence.Cols; col++)
            {
                double strength = Math.Sqrt(evidence.Noise.SquaredDistance(evidence.At(col, row)));
                bytes[row * evidence.Cols + col] = (byte)Math.Clamp(255 * strength / (3 * cap), 0, 255);
            }
        using Mat narrow = Mat.FromPixelData(evidence.Rows, evidence.Cols, MatType.CV_8UC1, bytes);
        using var picture = new Mat();
        Cv2.Resize(narrow, picture, new Size((int)Math.Round(evidence.Cols * evidence.PixelsPerMm / evidence.AlongPixelsPerMm), evidence.Rows));
        return Png(picture);
    }

    /// <summary>The rectified block with intended lines thin and traces dotted; family told by the size of the dots as well as by colour.</summary>
    public static byte[] Traces(BlockPicture block, IntendedGrid grid, IReadOnlyList<LineReport> lines)
    {
        Scalar[] colours = [new(200, 80, 0), new(30, 60, 200), new(40, 130, 20), new(160, 0, 160), new(0, 120, 160), new(90, 90, 90)];
        using Mat picture = Cv2.ImDecode(block.Encoded, ImreadModes.Color);
        Point At(double xMm, double yMm) => new((int)Math.Round((xMm + block.MarginMm) * block.PixelsPerMm), (int)Math.Round((yMm + block.MarginMm) * block.PixelsPerMm));
        foreach (LineReport line in lines)
        {
            LineFamily family = grid.Families[line.Family];
            Cv2.Line(picture, At(line.FromMm[0], line.FromMm[1]), At(line.ToMm[0], line.ToMm[1]), new Scalar(255, 255, 255), 1, LineTypes.AntiAlias);
            foreach (LineSample s in line.Samples)
            {
                double x = line.FromMm[0] + family.AlongX * s.AlongMm + family.AcrossX * s.DeviationMm, y = line.FromMm[1] + family.AlongY * s.AlongMm + family.AcrossY * s.DeviationMm;
                Cv2.Circle(picture, At(x, y), 1 + line.Family % 3, colours[line.Family % colours.Length], -1, LineTypes.AntiAlias);
            }
        }
        return Png(picture);
    }

    private static byte[] Png(Mat picture)
    {
        Cv2.ImEncode(".png", picture, out byte[] png);
        return png;
    }
}
