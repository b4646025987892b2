using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing;
using OpenCvSharp;

namespace Analyzer.Bench;

/// <summary>The plain way with general-purpose calls, for comparison: decode, warp, adaptive threshold or Hessian ridge on the whole picture, probabilistic Hough.</summary>
internal static class PlainWay
{
    private const double PixelsPerMm = 8, NearMm = 6, NearDeg = 6;

    /// <summary>Distance of the segments found from the true thread, mm, one for each millimetre of a line that has a segment; and the share of lines with one.</summary>
    public static (double[] ErrorsMm, double LinesFound) Measure(byte[] jpeg, SceneTruth truth, bool ridge)
    {
        using Mat bgr = Cv2.ImDecode(jpeg, ImreadModes.Color);
        int width = (int)(truth.Grid.Size.WidthMm * PixelsPerMm), height = (int)(truth.Grid.Size.HeightMm * PixelsPerMm);
        Homography photoFromPicture = truth.PhotoFromBlock.After(new Homography([1 / PixelsPerMm, 0, 0, 0, 1 / PixelsPerMm, 0, 0, 0, 1]));
        using Mat map = Mat.FromPixelData(3, 3, MatType.CV_64FC1, photoFromPicture.Rows.ToArray());
        using var warped = new Mat();
        Cv2.WarpPerspective(bgr, warped, map, new Size(width, height), InterpolationFlags.Linear | InterpolationFlags.WarpInverseMap);
        using var grey = new Mat();
        Cv2.CvtColor(warped, grey, ColorConversionCodes.BGR2GRAY);
        using Mat mask = ridge ? Ridge(grey) : Threshold(grey);
        LineSegmentPoint[] segments = Cv2.HoughLinesP(mask, 1, Math.PI / 360, 60, 12 * PixelsPerMm, 4 * PixelsPerMm);
        return Against(segments, truth);
    }

    private static Mat Threshold(Mat grey)
    {
        var mask = new Mat();
        using var smooth = new Mat();
        Cv2.GaussianBlur(grey, smooth, new Size(5, 5), 0);
        Cv2.AdaptiveThreshold(smooth, mask, 255, AdaptiveThresholdTypes.GaussianC, ThresholdTypes.BinaryInv, 31, 5);
        return mask;
    }

    /// <summary>Larger eigenvalue of the Hessian at the thread's width, the highest 4 % kept.</summary>
    private static Mat Ridge(Mat grey)
    {
        using Mat xx = new(), yy = new(), xy = new(), smooth = new(), difference = new(), root = new(), strength = new();
        grey.ConvertTo(smooth, MatType.CV_32F);
        Cv2.GaussianBlur(smooth, smooth, new Size(0, 0), 2);
        Cv2.Sobel(smooth, xx, MatType.CV_32F, 2, 0);
        Cv2.Sobel(smooth, yy, MatType.CV_32F, 0, 2);
        Cv2.Sobel(smooth, xy, MatType.CV_32F, 1, 1);
        Cv2.Subtract(xx, yy, difference);
        using Mat square = difference.Mul(difference), cross = xy.Mul(xy, 4);
        Cv2.Add(square, cross, root);
        Cv2.Sqrt(root, root);
        Cv2.Add(xx, yy, strength);
        Cv2.Add(strength, root, strength);
        Scalar mean, deviation;
        Cv2.MeanStdDev(strength, out mean, out deviation);
        var mask = new Mat();
        using Mat high = strength.GreaterThan(mean.Val0 + 1.75 * deviation.Val0);
        high.CopyTo(mask);
        return mask;
    }

    private static (double[] ErrorsMm, double LinesFound) Against(LineSegmentPoint[] segments, SceneTruth truth)
    {
        var errors = new List<double>();
        int found = 0, stitched = 0;
        for (int i = 0; i < truth.Lines.Count; i++)
        {
            if (truth.Lines[i].IsMissing) continue;
            stitched++;
            GridLine line = truth.Grid.Lines[i];
            double length = Math.Sqrt(Math.Pow(line.To.Xmm - line.From.Xmm, 2) + Math.Pow(line.To.Ymm - line.From.Ymm, 2));
            double ux = (line.To.Xmm - line.From.Xmm) / length, uy = (line.To.Ymm - line.From.Ymm) / length, nx = -uy, ny = ux;
            var at = new Dictionary<int, List<double>>();
            foreach (LineSegmentPoint s in segments)
            {
                double ax = (s.P1.X / PixelsPerMm - line.From.Xmm), ay = s.P1.Y / PixelsPerMm - line.From.Ymm, bx = s.P2.X / PixelsPerMm - line.From.Xmm, by = s.P2.Y / PixelsPerMm - line.From.Ymm;
                double a = ax * ux + ay * uy, b = bx * ux + by * uy, da = ax * nx + ay * ny, db = bx * nx + by * ny;
                if (Math.Abs(b - a) < 1 || Math.Abs(Math.Atan((db - da) / (b - a))) * 180 / Math.PI > NearDeg || Math.Abs(da + db) / 2 > NearMm) continue;
                for (int mm = (int)Math.Ceiling(Math.Min(a, b)); mm <= Math.Max(a, b); mm++)
                {
                    if (!at.TryGetValue(mm, out List<double>? list)) at[mm] = list = [];
                    list.Add(da + (db - da) * (mm - a) / (b - a));
                }
            }
            if (at.Count == 0) continue;
            found++;
            // The direction of the truth's deviation: toward n = (sin t, cos t); this line's own normal may point the other way.
            LineFamily family = truth.Grid.Families[line.Family];
            double angle = family.AngleDeg * Math.PI / 180, sign = nx * Math.Sin(angle) + ny * Math.Cos(angle) > 0 ? 1 : -1;
            foreach (var sample in truth.Lines[i].Samples)
                if (at.TryGetValue((int)Math.Round(sample.AlongMm), out List<double>? list)) errors.Add(Math.Abs(sign * list.Order().ElementAt(list.Count / 2) - sample.DeviationMm));
        }
        errors.Sort();
        return ([.. errors], stitched == 0 ? 0 : (double)found / stitched);
    }
}
