using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>A quickly drawn photo of a practice block, of widely different make: a second maker of pictures beside the renderer, sharing no code with it.</summary>
/// <remarks>The plane is painted straight from above and then seen by a pinhole camera: the corners are known by construction. No weave, relief or lens.</remarks>
internal sealed class DrawnScene : IDisposable
{
    private const double PerMm = 6;

    private readonly Random _random;
    private readonly Mat _canvas;
    private readonly double _margin;
    private readonly BlockSize _size;

    private DrawnScene(int seed)
    {
        _random = new Random(seed);
        Cv2.SetTheRNG((ulong)seed + 77);
        double[] sides = [101.6, 152.4, 203.2, 254];
        double w = sides[_random.Next(4)], h = _random.NextDouble() < 0.75 ? w : sides[_random.Next(4)];
        _size = new BlockSize(w, h);
        string[] names = ["square", "diamond", "triangle", "triangle45", "diamond60"];
        string name = names[_random.Next(names.Length)];
        double inches = w < 130 ? 0.75 : _random.NextDouble() < 0.3 ? 0.75 : _random.NextDouble() < 0.7 ? 1 : 1.5;
        Grid = new IntendedGrid(_size, NamedGrids.Families(name, Length.FromInches(inches), _size)!);
        _margin = 40 + 0.3 * Math.Max(w, h);
        _canvas = new Mat((int)((h + 2 * _margin) * PerMm), (int)((w + 2 * _margin) * PerMm), MatType.CV_8UC3, Colour(40, 200));
        What = $"{name} {w:0}x{h:0}";
    }

    public IntendedGrid Grid { get; }

    public byte[] Jpeg { get; private set; } = [];

    public PhotoPoint[] Truth { get; private set; } = [];

    public string What { get; private set; }

    public void Dispose() => _canvas.Dispose();

    public static DrawnScene Draw(int seed)
    {
        var scene = new DrawnScene(seed);
        scene.PaintTable();
        scene.PaintCloth();
        scene.PaintThings();
        scene.Photograph();
        return scene;
    }

    /// <summary>Largest corner error in block mm.</summary>
    public double WorstMm(PhotoPoint[] found)
    {
        Homography mm = Homography.FromFourPoints([.. Truth.Select(p => (p.X, p.Y))], [.. _size.Corners().Select(p => (p.Xmm, p.Ymm))]);
        return Enumerable.Range(0, 4).Max(i =>
        {
            (double x, double y) = mm.Map(found[i].X, found[i].Y);
            BlockPoint t = _size.Corners()[i];
            return Math.Sqrt((x - t.Xmm) * (x - t.Xmm) + (y - t.Ymm) * (y - t.Ymm));
        });
    }

    private double Uniform(double low, double high) => low + (high - low) * _random.NextDouble();

    private double Gauss() => Math.Sqrt(-2 * Math.Log(1 - _random.NextDouble())) * Math.Cos(2 * Math.PI * _random.NextDouble());

    private Scalar Colour(double low, double high) => new(Uniform(low, high), Uniform(low, high), Uniform(low, high));

    private Scalar Near(Scalar c, double by) => new(Math.Clamp(c[0] + by * Gauss(), 0, 255), Math.Clamp(c[1] + by * Gauss(), 0, 255), Math.Clamp(c[2] + by * Gauss(), 0, 255));

    private Point On(double x, double y) => new((int)Math.Round(((x + _margin) * PerMm - 0.5) * 16), (int)Math.Round(((y + _margin) * PerMm - 0.5) * 16));

    /// <summary>A box whose edges lie where they are meant to lie. The library's own smooth polygons reach 0.7 px too far on every side.</summary>
    private void Box(double left, double top, double right, double bottom, Scalar colour) => Cover(left, top, right, bottom, part => part.SetTo(colour));

    /// <summary>Changes a box, its rim by as much of each pixel as the box covers.</summary>
    private void Cover(double left, double top, double right, double bottom, Action<Mat> change)
    {
        (double x0, double y0, double x1, double y1) = ((left + _margin) * PerMm, (top + _margin) * PerMm, (right + _margin) * PerMm, (bottom + _margin) * PerMm);
        var outer = Rect.FromLTRB((int)Math.Floor(x0), (int)Math.Floor(y0), (int)Math.Ceiling(x1), (int)Math.Ceiling(y1));
        outer &= new Rect(0, 0, _canvas.Cols, _canvas.Rows);
        if (outer.Width <= 0 || outer.Height <= 0) return;
        using Mat whole = _canvas[outer], changed = whole.Clone();
        change(changed);
        static Mat ShareOf(double from, double to, int start, int count)
        {
            var share = new Mat(1, count, MatType.CV_32FC1);
            for (int i = 0; i < count; i++) share.Set(0, i, (float)Math.Clamp(Math.Min(to, start + i + 1) - Math.Max(from, start + i), 0, 1));
            return share;
        }
        using Mat across = ShareOf(x0, x1, outer.X, outer.Width), down = ShareOf(y0, y1, outer.Y, outer.Height), none = new(), share = new(), rest = new();
        Cv2.Gemm(down, across, 1, none, 0, share, GemmFlags.A_T);
        Cv2.Subtract(Scalar.All(1), share, rest);
        Cv2.BlendLinear(changed, whole, share, rest, changed);
        changed.CopyTo(whole);
    }

    private void Stroke(double x0, double y0, double x1, double y1, double widthMm, Scalar colour)
    {
        double length = Math.Max(1e-6, Math.Sqrt((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0)));
        double nx = -(y1 - y0) / length * widthMm / 2, ny = (x1 - x0) / length * widthMm / 2;
        Cv2.FillConvexPoly(_canvas, [On(x0 + nx, y0 + ny), On(x1 + nx, y1 + ny), On(x1 - nx, y1 - ny), On(x0 - nx, y0 - ny)], colour, LineTypes.AntiAlias, 4);
    }

    private void PaintTable()
    {
        Scalar ground = Colour(40, 220);
        _canvas.SetTo(ground);
        double reach = _margin + Math.Max(_size.WidthMm, _size.HeightMm) + 60, turn = Uniform(-0.3, 0.3);
        int kind = _random.Next(4);
        if (kind == 1)
            for (double y = -reach; y < 2 * reach; y += Uniform(3, 14)) Stroke(-reach, y, 2 * reach, y + 3 * reach * turn, Uniform(0.5, 4), Near(ground, 14));
        if (kind == 2)
            for (double k = -reach; k < 2 * reach; k += 25.4)
            {
                Scalar line = new(235, 235, 225);
                Stroke(-reach, k, 2 * reach, k + 3 * reach * turn, 0.5, line);
                Stroke(k, 2 * reach, k + 3 * reach * turn, -reach, 0.5, line);
            }
        if (kind == 3) Blobs(-_margin, -_margin, _size.WidthMm + _margin, _size.HeightMm + _margin, ground, 25, 10, 400);
        What += " table " + kind;
    }

    private void Blobs(double left, double top, double right, double bottom, Scalar ground, double by, double size, int count)
    {
        Scalar[] colours = [Near(ground, by), Near(ground, by), Near(ground, by)];
        for (int i = 0; i < count; i++)
        {
            double x = Uniform(left, right), y = Uniform(top, bottom), a = size * Uniform(0.3, 1), b = size * Uniform(0.2, 0.6);
            a = Math.Min(a, Math.Min(Math.Min(x - left, right - x), Math.Min(y - top, bottom - y)));
            if (a < 0.4) continue;
            Cv2.Ellipse(_canvas, On(x, y), new Size((int)(a * PerMm * 16), (int)(Math.Min(a, b) * PerMm * 16)), Uniform(0, 180), 0, 360, colours[i % 3], -1, LineTypes.AntiAlias, 4);
        }
    }

    private void PaintCloth()
    {
        double w = _size.WidthMm, h = _size.HeightMm;
        Scalar cloth = Colour(60, 235);
        bool alike = _random.NextDouble() < 0.35;
        Scalar outside = alike ? Near(cloth, 9) : Colour(40, 230);
        int kind = _random.Next(5);
        double grow = kind switch { 0 => 0, 1 => Uniform(15, 50), 2 => Uniform(6, 12), 3 => Uniform(4, 60), _ => 300 };
        // Kinds: 0 cut at the stitched edge, 1 border, 2 binding, 3 same cloth goes on, 4 larger quilt.
        if (kind == 3) outside = cloth;
        Shadow(grow);
        Box(-grow, -grow, w + grow, h + grow, outside);
        if (kind == 1 && _random.NextDouble() < 0.4) Blobs(-grow, -grow, w + grow, h + grow, outside, 20, 8, 500);
        bool hasSeam = kind is 3 || _random.NextDouble() < 0.8;
        if (kind == 4)
        {
            double gap = Uniform(15, 45);
            Scalar other = Near(cloth, 10);
            for (int i = -1; i <= 1; i++)
                for (int j = -1; j <= 1; j++)
                    if (i != 0 || j != 0) Box(i * (w + gap), j * (h + gap), i * (w + gap) + w, j * (h + gap) + h, other);
        }
        Box(0, 0, w, h, cloth);
        int print = _random.Next(4);
        if (print == 1) Blobs(0, 0, w, h, cloth, Uniform(8, 30), Uniform(3, 12), (int)(w * h / 60));
        if (print == 2)
            for (double y = 2; y < h - 2; y += 7) Stroke(0.2, y, w - 0.2, y, 2, Near(cloth, 9));
        What += $" surround {kind} print {print}{(alike ? " alike" : "")}";
        Weave();
        Stitch(cloth, hasSeam, kind);
    }

    private void Shadow(double grow)
    {
        double s = Uniform(0, 5), dx = Uniform(-1, 1) * s, dy = Uniform(-1, 1) * s;
        using Mat mask = new(_canvas.Size(), MatType.CV_8UC1, Scalar.All(255)), three = new();
        Cv2.FillConvexPoly(mask, [On(-grow + dx, -grow + dy), On(_size.WidthMm + grow + dx, -grow + dy), On(_size.WidthMm + grow + dx, _size.HeightMm + grow + dy), On(-grow + dx, _size.HeightMm + grow + dy)], Scalar.All(150), LineTypes.AntiAlias, 4);
        Cv2.GaussianBlur(mask, mask, new Size(0, 0), 2 * PerMm / 2);
        Cv2.CvtColor(mask, three, ColorConversionCodes.GRAY2BGR);
        Cv2.Multiply(_canvas, three, _canvas, 1 / 255.0);
    }

    private void Weave()
    {
        using Mat noise = new(_canvas.Size(), MatType.CV_16SC1), soft = new(), three = new(), sum = new();
        Cv2.Randn(noise, Scalar.All(0), Scalar.All(Uniform(5, 30)));
        Cv2.GaussianBlur(noise, soft, new Size(0, 0), Uniform(0.8, 2.5));
        Cv2.Merge([soft, soft, soft], three);
        Cv2.Add(_canvas, three, sum, dtype: MatType.CV_8U);
        sum.CopyTo(_canvas);
    }

    private void Stitch(Scalar cloth, bool hasSeam, int kind)
    {
        double w = _size.WidthMm, h = _size.HeightMm, dark = Uniform(10, 60);
        Scalar thread = Near(cloth, 12);
        double step = _random.NextDouble() < 0.5 ? -1 : 1, strength = Uniform(30, 110);
        if (cloth[1] < 100) step = 1;
        if (cloth[1] > 190) step = -1;
        thread = new(Math.Clamp(thread[0] + step * strength, 0, 255), Math.Clamp(thread[1] + step * strength, 0, 255), Math.Clamp(thread[2] + step * strength, 0, 255));
        double skill = Uniform(0.2, 1.2), width = Uniform(0.25, 0.5);
        (double, double, double, double)[] sides = [(0, 0, w, 0), (w, 0, w, h), (w, h, 0, h), (0, h, 0, 0)];
        if (hasSeam)
            foreach ((double x0, double y0, double x1, double y1) in sides) Dim(x0, y0, x1, y1, dark);
        if (kind == 3 || _random.NextDouble() < 0.5)
            foreach ((double x0, double y0, double x1, double y1) in sides) Dashes(x0, y0, x1, y1, width, 0.06, thread);
        foreach (GridLine line in Grid.Lines)
        {
            LineFamily f = Grid.Families[line.Family];
            double o = 0.35 * skill * Gauss(), a = 0.35 * skill * Gauss();
            double ox0 = f.AcrossX * (o + a), oy0 = f.AcrossY * (o + a), ox1 = f.AcrossX * (o - a), oy1 = f.AcrossY * (o - a);
            Dashes(line.From.Xmm + ox0, line.From.Ymm + oy0, line.To.Xmm + ox1, line.To.Ymm + oy1, width, 0.12 * skill, thread);
        }
    }

    /// <summary>The furrow of a seam: darker, softly.</summary>
    private void Dim(double x0, double y0, double x1, double y1, double dark)
    {
        for (double k = 1; k >= 0.3; k -= 0.35)
        {
            double half = 0.8 * k;
            Cover(Math.Min(x0, x1) - half, Math.Min(y0, y1) - half, Math.Max(x0, x1) + half, Math.Max(y0, y1) + half, part => Cv2.Subtract(part, Scalar.All(dark / 3), part));
        }
    }

    private void Dashes(double x0, double y0, double x1, double y1, double widthMm, double wobble, Scalar colour)
    {
        double length = Math.Sqrt((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0)), ux = (x1 - x0) / length, uy = (y1 - y0) / length, phase = Uniform(0, 6), wave = Uniform(25, 60), stitch = Uniform(2, 3);
        double at = Uniform(0, 1);
        while (at < length)
        {
            double end = Math.Min(length, at + stitch * 0.78);
            double o0 = wobble * (1.4 * Math.Sin(phase + 6.28 * at / wave) + 0.4 * Gauss()), o1 = wobble * (1.4 * Math.Sin(phase + 6.28 * end / wave) + 0.4 * Gauss());
            Stroke(x0 + ux * at - uy * o0, y0 + uy * at + ux * o0, x0 + ux * end - uy * o1, y0 + uy * end + ux * o1, widthMm, colour);
            at += stitch;
        }
    }

    private void PaintThings()
    {
        double w = _size.WidthMm, h = _size.HeightMm;
        if (_random.NextDouble() < 0.3) Box(-28 - _margin / 2, Uniform(-20, h / 2), -_margin / 2, h + 20, Colour(150, 250));
        if (_random.NextDouble() < 0.25) Box(w + 4 + _margin / 3, 10, w + 4 + _margin / 3 + 54, 95.6, Colour(40, 240));
        if (_random.NextDouble() < 0.25) Cv2.Ellipse(_canvas, On(w / 2 + Uniform(-60, 60), h + _margin / 1.6), new Size((int)(40 * PerMm * 16), (int)(25 * PerMm * 16)), Uniform(0, 90), 0, 360, new Scalar(140, 170, 220), -1, LineTypes.AntiAlias, 4);
    }

    private void Photograph()
    {
        double w = _size.WidthMm, h = _size.HeightMm, tilt = Uniform(0, 25) * Math.PI / 180, toward = Uniform(0, 2 * Math.PI);
        double roll = (_random.NextDouble() < 0.5 ? Uniform(-8, 8) : Uniform(-43, 43)) * Math.PI / 180, focal = Uniform(0.7, 1.4);
        int wide = (int)Uniform(1300, 3400), high = wide * 3 / 4;
        if (_random.NextDouble() < 0.3) (wide, high) = (high, wide);
        double longer = Math.Max(wide, high), fill = Uniform(0.5, 0.85) * Math.Min(wide, high) / (Math.Max(w, h) * (Math.Abs(Math.Cos(roll)) + Math.Abs(Math.Sin(roll))));
        double f = focal * longer, distance = f / fill;
        (double sr, double cr) = Math.SinCos(roll);
        (double st, double ct) = Math.SinCos(tilt);
        (double sa, double ca) = Math.SinCos(toward);
        Point2f Seen(double x, double y)
        {
            double px = (x - w / 2) * cr - (y - h / 2) * sr, py = (x - w / 2) * sr + (y - h / 2) * cr;
            // Along the direction of the lean and across it.
            double a = px * ca + py * sa, b = -px * sa + py * ca, depth = distance + a * st, along = a * ct;
            double k = f / depth;
            return new Point2f((float)(wide / 2.0 + k * (along * ca - b * sa)), (float)(high / 2.0 + k * (along * sa + b * ca)));
        }
        Point2f Canvas(double x, double y) => new((float)((x + _margin) * PerMm - 0.5), (float)((y + _margin) * PerMm - 0.5));
        Point2f[] from = [Canvas(0, 0), Canvas(w, 0), Canvas(w, h), Canvas(0, h)], to = [Seen(0, 0), Seen(w, 0), Seen(w, h), Seen(0, h)];
        using Mat map = Cv2.GetPerspectiveTransform(from, to);
        using Mat photo = new(), soft = new();
        Cv2.GaussianBlur(_canvas, soft, new Size(0, 0), Math.Max(0.6, 0.45 * PerMm / fill));
        Cv2.WarpPerspective(soft, photo, map, new Size(wide, high), InterpolationFlags.Linear, BorderTypes.Replicate);
        Cv2.GaussianBlur(photo, photo, new Size(0, 0), Uniform(0.4, 1));
        Light(photo);
        using Mat noise = new(photo.Size(), MatType.CV_16SC3), sum = new();
        Cv2.Randn(noise, Scalar.All(0), Scalar.All(Uniform(1, 6)));
        Cv2.Add(photo, noise, sum, dtype: MatType.CV_8U);
        Cv2.ImEncode(".jpg", sum, out byte[] bytes, new ImageEncodingParam(ImwriteFlags.JpegQuality, _random.Next(75, 96)));
        Jpeg = bytes;
        Truth = [.. to.Select(p => new PhotoPoint(p.X, p.Y))];
        What += $" tilt {tilt * 57.3:0} roll {roll * 57.3:0} {wide}x{high} {fill:0.0} px/mm";
    }

    private unsafe void Light(Mat photo)
    {
        double gx = Uniform(-0.35, 0.35), gy = Uniform(-0.35, 0.35), edge = Uniform(0.3, 1.3), turn = Uniform(0, 6.28), deep = _random.NextDouble() < 0.3 ? Uniform(0.15, 0.4) : 0;
        (double s, double c) = Math.SinCos(turn);
        int rows = photo.Rows, cols = photo.Cols;
        for (int y = 0; y < rows; y++)
        {
            byte* p = (byte*)photo.Ptr(y);
            for (int x = 0; x < cols; x++, p += 3)
            {
                double u = (double)x / cols - 0.5, v = (double)y / rows - 0.5;
                double k = 1 + gx * u + gy * v - deep / (1 + Math.Exp(-(u * c + v * s - edge + 0.8) * 40));
                for (int ch = 0; ch < 3; ch++) p[ch] = (byte)Math.Clamp(p[ch] * k, 0, 255);
            }
        }
    }
}
