using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>A plain drawing of a block in a border on a table, seen in perspective: corners known exactly, by construction.</summary>
internal sealed class DrawnBlock : IDisposable
{
    public required Photo Photo { get; init; }

    public required PhotoPoint[] Truth { get; init; }

    public required double PixelsPerMm { get; init; }

    public void Dispose() => Photo.Dispose();

    public sealed record Settings
    {
        public int WidthPx { get; init; } = 2000;

        public int HeightPx { get; init; } = 1500;

        public double BorderMm { get; init; } = 35;

        public double RotationDeg { get; init; } = 4;

        /// <summary>Shift of the far side's corners toward the middle, as a share: perspective.</summary>
        public double Lean { get; init; } = 0.08;

        /// <summary>Share of the shorter side of the photo that the block fills.</summary>
        public double Fill { get; init; } = 0.62;

        /// <summary>Blue, green, red of block, border, table, thread.</summary>
        public Scalar Block { get; init; } = new(200, 215, 225);

        public Scalar Border { get; init; } = new(120, 80, 60);

        public Scalar Table { get; init; } = new(90, 120, 150);

        public Scalar Thread { get; init; } = new(60, 50, 90);

        /// <summary>How much darker the ditch is, grey levels, and its width (sigma), mm.</summary>
        public double DitchDepth { get; init; } = 45;

        public double DitchSigmaMm { get; init; } = 0.4;

        public double NoiseLevels { get; init; } = 4;

        public int Seed { get; init; } = 1;
    }

    public static DrawnBlock Draw(IntendedGrid grid, Settings s)
    {
        const double perMm = 6;
        double w = grid.Size.WidthMm, h = grid.Size.HeightMm, margin = s.BorderMm + 60;
        var canvasSize = new Size((int)((w + 2 * margin) * perMm), (int)((h + 2 * margin) * perMm));
        using var canvas = new Mat(canvasSize, MatType.CV_8UC3, s.Table);
        Point2d On(double x, double y) => new((x + margin) * perMm - 0.5, (y + margin) * perMm - 0.5);
        void Box(double grow, Scalar colour) => FillBox(canvas, On(-grow, -grow), On(w + grow, h + grow), colour);
        Box(s.BorderMm, s.Border);
        Box(0, s.Block);
        foreach (GridLine line in grid.Lines) Dashes(canvas, On(line.From.Xmm, line.From.Ymm), On(line.To.Xmm, line.To.Ymm), s.Thread, perMm);
        Weave(canvas, s.Seed);
        Ditch(canvas, On(0, 0), On(w, h), s, perMm);
        Point2f[] source = [Float(On(0, 0)), Float(On(w, 0)), Float(On(w, h)), Float(On(0, h))];
        Point2f[] target = Placed(w, h, s);
        using Mat map = Cv2.GetPerspectiveTransform(source, target);
        using Mat photo = new(), blurred = new();
        Cv2.GaussianBlur(canvas, blurred, new Size(0, 0), 1.0);
        Cv2.WarpPerspective(blurred, photo, map, new Size(s.WidthPx, s.HeightPx), InterpolationFlags.Linear, BorderTypes.Constant, s.Table);
        using Mat noise = new(photo.Size(), MatType.CV_16SC3), sum = new();
        Cv2.SetTheRNG((ulong)(s.Seed));
        Cv2.Randn(noise, Scalar.All(0), Scalar.All(s.NoiseLevels));
        Cv2.Add(photo, noise, sum, dtype: MatType.CV_8U);
        Cv2.ImEncode(".jpg", sum, out byte[] bytes, new ImageEncodingParam(ImwriteFlags.JpegQuality, 93));
        PhotoPoint[] truth = [.. target.Select(p => new PhotoPoint(p.X, p.Y))];
        return new DrawnBlock { Photo = PhotoReader.Read(bytes, "drawn.jpg"), Truth = truth, PixelsPerMm = truth[0].DistanceTo(truth[1]) / w };
    }

    public double WorstMm(PhotoPoint[] found) => Enumerable.Range(0, 4).Max(i => found[i].DistanceTo(Truth[i])) / PixelsPerMm;

    private static Point2f[] Placed(double w, double h, Settings s)
    {
        double scale = s.Fill * Math.Min(s.WidthPx, s.HeightPx) / Math.Max(w, h);
        (double sin, double cos) = Math.SinCos(s.RotationDeg * Math.PI / 180);
        Point2f Corner(double x, double y)
        {
            // Farther places come out smaller: a pure tilt about the horizontal.
            double depth = 1 + s.Lean * -(y / (h / 2));
            (double px, double py) = (x * scale / depth, y * scale / depth);
            return new Point2f((float)(s.WidthPx / 2.0 + px * cos - py * sin), (float)(s.HeightPx / 2.0 + px * sin + py * cos));
        }
        return [Corner(-w / 2, -h / 2), Corner(w / 2, -h / 2), Corner(w / 2, h / 2), Corner(-w / 2, h / 2)];
    }

    /// <summary>Fills an upright box with exact coverage of its rim pixels (OpenCV's own filling grows shapes by half a pixel).</summary>
    private static unsafe void FillBox(Mat canvas, Point2d low, Point2d high, Scalar colour)
    {
        for (int y = (int)low.Y - 1; y <= (int)high.Y + 2; y++)
        {
            byte* p = (byte*)canvas.Ptr(y);
            double rows = Math.Clamp(Math.Min(y - low.Y, high.Y - y) + 0.5, 0, 1);
            for (int x = (int)low.X - 1; x <= (int)high.X + 2; x++)
            {
                double share = rows * Math.Clamp(Math.Min(x - low.X, high.X - x) + 0.5, 0, 1);
                for (int c = 0; c < 3; c++) p[3 * x + c] = (byte)Math.Round(p[3 * x + c] * (1 - share) + colour[c] * share);
            }
        }
    }

    private static void Dashes(Mat canvas, Point2d a, Point2d b, Scalar colour, double perMm)
    {
        double length = Math.Sqrt((b.X - a.X) * (b.X - a.X) + (b.Y - a.Y) * (b.Y - a.Y)), stitch = 2.3 * perMm;
        for (double t = 0; t < length; t += stitch)
        {
            double e = Math.Min(length, t + 0.75 * stitch);
            Cv2.Line(canvas, At(a, b, t / length), At(a, b, e / length), colour, 2, LineTypes.AntiAlias, 4);
        }
    }

    private static Point At(Point2d a, Point2d b, double k) => new((int)((a.X + (b.X - a.X) * k) * 16), (int)((a.Y + (b.Y - a.Y) * k) * 16));

    private static unsafe void Ditch(Mat canvas, Point2d low, Point2d high, Settings s, double perMm)
    {
        double sigma = s.DitchSigmaMm * perMm, reach = 4 * sigma;
        int rows = canvas.Rows, cols = canvas.Cols;
        for (int y = 0; y < rows; y++)
        {
            byte* p = (byte*)canvas.Ptr(y);
            for (int x = 0; x < cols; x++, p += 3)
            {
                double dx = Math.Max(Math.Max(low.X - x, x - high.X), 0), dy = Math.Max(Math.Max(low.Y - y, y - high.Y), 0);
                double d = dx > 0 || dy > 0 ? Math.Sqrt(dx * dx + dy * dy) : Math.Min(Math.Min(x - low.X, high.X - x), Math.Min(y - low.Y, high.Y - y));
                if (d > reach) continue;
                double dark = s.DitchDepth * Math.Exp(-d * d / (2 * sigma * sigma));
                for (int c = 0; c < 3; c++) p[c] = (byte)Math.Max(0, p[c] - dark);
            }
        }
    }

    private static void Weave(Mat canvas, int seed)
    {
        Cv2.SetTheRNG((ulong)(seed + 1000));
        using Mat noise = new(canvas.Size(), MatType.CV_16SC1), soft = new(), three = new(), sum = new();
        Cv2.Randn(noise, Scalar.All(0), Scalar.All(22));
        Cv2.GaussianBlur(noise, soft, new Size(0, 0), 1.6);
        Cv2.Merge([soft, soft, soft], three);
        Cv2.Add(canvas, three, sum, dtype: MatType.CV_8U);
        sum.CopyTo(canvas);
    }

    private static Point2f Float(Point2d p) => new((float)p.X, (float)p.Y);
}
