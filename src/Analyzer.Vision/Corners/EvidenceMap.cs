using System.Runtime.CompilerServices;
using Analyzer.Core.Geometry;
using OpenCvSharp;

namespace Analyzer.Vision.Corners;

/// <summary>A crest of evidence: place in the small picture, direction of its normal (radians), weight 0..1.</summary>
internal readonly record struct Crest(int X, int Y, float Direction, float Weight);

/// <summary>The photo made small, with the strength and direction of steps (where two cloths meet) and ridges (thread, furrow) at every pixel.</summary>
/// <remarks>
/// Strengths are in units of the noise round about (<see cref="LocalNoise"/>), so that a pale seam on calm cloth counts as much as a bold one on a print. Colours are an opponent space of sRGB values: sum, red-green, yellow-blue.
/// </remarks>
internal sealed class EvidenceMap
{
    /// <summary>Longer side of the small picture, px.</summary>
    public const int LongSidePx = 900;

    /// <summary>Directions are sorted into this many half-turn sectors.</summary>
    public const int Sectors = 12;

    /// <summary>Strength at which evidence counts for nothing and fully, noise units.</summary>
    private const float NothingBelow = 2f, FullAt = 8f;

    private const float AlongRad = 25 * MathF.PI / 180;

    private readonly float[] _step, _stepDir, _ridge, _ridgeDir;
    private readonly byte[][] _seamSector, _ridgeSector;

    public int Width { get; }

    public int Height { get; }

    /// <summary>Photo pixels per small pixel.</summary>
    public double Scale { get; }

    /// <summary>The whole photo's middle and longer side in pixels of this map, which may show a part of it only.</summary>
    public double MiddleX { get; private init; }

    public double MiddleY { get; private init; }

    public double LongerPx { get; private init; }

    private double OriginX { get; init; }

    private double OriginY { get; init; }

    private EvidenceMap(int width, int height, double scale)
    {
        Width = width;
        Height = height;
        Scale = scale;
        _step = new float[width * height];
        _stepDir = new float[width * height];
        _ridge = new float[width * height];
        _ridgeDir = new float[width * height];
        _seamSector = new byte[Sectors][];
        _ridgeSector = new byte[Sectors][];
    }

    /// <summary>The whole photo, or the part of it that is given.</summary>
    public static EvidenceMap Of(Mat bgr, Rect? part = null)
    {
        Rect area = part ?? new Rect(0, 0, bgr.Cols, bgr.Rows);
        double scale = Math.Max(1, Math.Max(area.Width, area.Height) / (double)LongSidePx);
        var size = new Size((int)Math.Round(area.Width / scale), (int)Math.Round(area.Height / scale));
        using Mat cut = bgr[area], small = new(), colours = new(), blurred = new();
        Shrink(cut, small, size);
        ToOpponent(small, colours);
        Cv2.GaussianBlur(colours, blurred, new Size(0, 0), 1.1);
        double exact = area.Width / (double)size.Width;
        var map = new EvidenceMap(size.Width, size.Height, exact)
        {
            OriginX = area.X,
            OriginY = area.Y,
            MiddleX = ((bgr.Cols - 1) / 2.0 - area.X + 0.5) / exact - 0.5,
            MiddleY = ((bgr.Rows - 1) / 2.0 - area.Y + 0.5) / exact - 0.5,
            LongerPx = Math.Max(bgr.Cols, bgr.Rows) / exact,
        };
        map.Measure(blurred);
        map.SortIntoSectors();
        return map;
    }

    /// <summary>By area; large photos are halved first, which is quick and as good.</summary>
    private static void Shrink(Mat bgr, Mat small, Size size)
    {
        if (bgr.Cols < 3 * size.Width || (bgr.Cols & 1) != 0 || (bgr.Rows & 1) != 0)
        {
            Cv2.Resize(bgr, small, size, 0, 0, InterpolationFlags.Area);
            return;
        }
        using Mat half = new();
        Cv2.Resize(bgr, half, new Size(bgr.Cols / 2, bgr.Rows / 2), 0, 0, InterpolationFlags.Area);
        Cv2.Resize(half, small, size, 0, 0, InterpolationFlags.Area);
    }

    /// <summary>8-bit BGR to float opponent colours.</summary>
    public static void ToOpponent(Mat bgr, Mat colours)
    {
        using Mat wide = new();
        bgr.ConvertTo(wide, MatType.CV_32FC3);
        using Mat matrix = Mat.FromPixelData(3, 3, MatType.CV_32FC1, new float[] { 0.3333f, 0.3333f, 0.3333f, 0f, -0.7f, 0.7f, -0.8f, 0.4f, 0.4f });
        Cv2.Transform(wide, colours, matrix);
    }

    /// <summary>Photo pixel to small pixel and back (pixel centres at whole numbers on both sides).</summary>
    public (double X, double Y) ToSmall(PhotoPoint p) => ((p.X - OriginX + 0.5) / Scale - 0.5, (p.Y - OriginY + 0.5) / Scale - 0.5);

    public PhotoPoint ToPhoto((double X, double Y) p) => new((p.X + 0.5) * Scale - 0.5 + OriginX, (p.Y + 0.5) * Scale - 0.5 + OriginY);

    /// <summary>Pixels that are a crest of step or ridge strength.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public List<Crest> Crests()
    {
        var crests = new List<Crest>(60_000);
        for (int y = 2; y < Height - 2; y++)
            for (int x = 2; x < Width - 2; x++)
            {
                int i = y * Width + x;
                if (_step[i] > NothingBelow && IsCrest(_step, i, _stepDir[i])) crests.Add(new Crest(x, y, _stepDir[i], Weight(_step[i])));
                if (_ridge[i] > NothingBelow && IsCrest(_ridge, i, _ridgeDir[i])) crests.Add(new Crest(x, y, _ridgeDir[i], Weight(_ridge[i])));
            }
        return crests;
    }

    /// <summary>Step or ridge evidence 0..255 across a direction (radians, of the normal) near a pixel; 0 outside.</summary>
    public int SeamNear(double x, double y, int sector) => At(_seamSector[sector], x, y);

    /// <summary>Ridge evidence 0..255 across a direction near a pixel; 0 outside.</summary>
    public int RidgeNear(double x, double y, int sector) => At(_ridgeSector[sector], x, y);

    /// <summary>Ridge evidence 0..1 at a pixel, where the ridge runs across the given normal (radians) to within 25 degrees; 0 outside.</summary>
    public float RidgeAt(double x, double y, float normalRad)
    {
        int ix = (int)(x + 0.5), iy = (int)(y + 0.5);
        if ((uint)ix >= (uint)Width || (uint)iy >= (uint)Height) return 0;
        int i = iy * Width + ix;
        float strength = _ridge[i];
        if (strength <= NothingBelow) return 0;
        float off = MathF.Abs(_ridgeDir[i] - normalRad);
        off -= MathF.PI * MathF.Floor(off / MathF.PI);
        return off < AlongRad || off > MathF.PI - AlongRad ? Weight(strength) : 0;
    }

    public bool IsInside(double x, double y) => x > 1 && y > 1 && x < Width - 2 && y < Height - 2;

    public static int SectorOf(double normalRad)
    {
        int sector = (int)Math.Round(normalRad * Sectors / Math.PI) % Sectors;
        return sector < 0 ? sector + Sectors : sector;
    }

    private int At(byte[] map, double x, double y)
    {
        int ix = (int)(x + 0.5), iy = (int)(y + 0.5);
        return (uint)ix < (uint)Width && (uint)iy < (uint)Height ? map[iy * Width + ix] : 0;
    }

    private static float Weight(float strength) => Math.Clamp((strength - NothingBelow) / (FullAt - NothingBelow), 0, 1);

    private bool IsCrest(float[] map, int i, float direction)
    {
        int dx = (int)MathF.Round(MathF.Cos(direction)), dy = (int)MathF.Round(MathF.Sin(direction));
        int step = dy * Width + dx;
        return map[i] >= map[i + step] && map[i] > map[i - step];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private unsafe void Measure(Mat blurred)
    {
        int w = Width, h = Height;
        var pointer = (float*)blurred.Data;
        int stride = (int)(blurred.Step() / sizeof(float));
        var noise = new LocalNoise(pointer, stride, w, h);
        Parallel.For(1, h - 1, y => Row(y));

        [MethodImpl(MethodImplOptions.AggressiveOptimization)]
        void Row(int y)
        {
            float[] scales = new float[6];
            for (int x = 1; x < w - 1; x++)
            {
                if (x == 1 || (x & 7) == 0) noise.ScalesAt(x, y, scales);
                float* p = pointer + y * stride + 3 * x;
                float jxx = 0, jxy = 0, jyy = 0, best = 0, bestHalf = 0, bestXy = 0, bestDifference = 0;
                for (int c = 0; c < 3; c++, p++)
                {
                    float gx = (p[3] - p[-3]) * scales[c], gy = (p[stride] - p[-stride]) * scales[c];
                    jxx += gx * gx; jxy += gx * gy; jyy += gy * gy;
                    float hxx = p[3] - 2 * p[0] + p[-3], hyy = p[stride] - 2 * p[0] + p[-stride];
                    float hxy = (p[stride + 3] - p[stride - 3] - p[-stride + 3] + p[-stride - 3]) * 0.25f;
                    float half = (hxx + hyy) * 0.5f, difference = hxx - hyy, spread = MathF.Sqrt(difference * difference * 0.25f + hxy * hxy);
                    // The larger curvature less half the smaller: spots and corners count less than lines.
                    float strength = (MathF.Abs(half) + spread - 0.5f * MathF.Abs(MathF.Abs(half) - spread)) * scales[3 + c];
                    if (strength <= best) continue;
                    best = strength;
                    (bestHalf, bestXy, bestDifference) = (half, hxy, difference);
                }
                int i = y * w + x;
                _step[i] = MathF.Sqrt((jxx + jyy) * 0.5f + MathF.Sqrt((jxx - jyy) * (jxx - jyy) * 0.25f + jxy * jxy));
                if (_step[i] > NothingBelow) _stepDir[i] = 0.5f * MathF.Atan2(2 * jxy, jxx - jyy);
                _ridge[i] = best;
                // Eigenvector of the eigenvalue of larger size.
                if (best > NothingBelow) _ridgeDir[i] = 0.5f * MathF.Atan2(2 * bestXy, bestDifference) + (bestHalf < 0 ? MathF.PI / 2 : 0);
            }
        }
    }

    /// <summary>For each sector a map of evidence across that direction, spread by two pixels so that one look-up forgives a small offset.</summary>
    private void SortIntoSectors()
    {
        for (int sector = 0; sector < Sectors; sector++)
        {
            _seamSector[sector] = new byte[Width * Height];
            _ridgeSector[sector] = new byte[Width * Height];
        }
        Parallel.For(0, Height, y => SortRow(y));
        Parallel.For(0, 2 * Sectors, k => Spread((k & 1) == 0 ? _seamSector : _ridgeSector, k / 2));
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void SortRow(int y)
    {
        const float perRad = Sectors / MathF.PI, neighbour = 0.2f;
        for (int i = y * Width; i < (y + 1) * Width; i++)
        {
            for (int kind = 0; kind < 2; kind++)
            {
                float strength = kind == 0 ? _step[i] : _ridge[i];
                if (strength <= NothingBelow) continue;
                byte weight = (byte)(255 * Weight(strength));
                float at = (kind == 0 ? _stepDir[i] : _ridgeDir[i]) * perRad + 2 * Sectors;
                int nearest = (int)(at + 0.5f);
                float off = at - nearest;
                Put(nearest, i, weight, kind);
                // A direction up to 1.3 sectors away still counts.
                if (off > -(0.5f - neighbour)) Put(nearest + 1, i, weight, kind);
                if (off < 0.5f - neighbour) Put(nearest - 1, i, weight, kind);
            }
        }
    }

    private void Put(int sector, int i, byte weight, int kind)
    {
        int s = sector % Sectors;
        if (_seamSector[s][i] < weight) _seamSector[s][i] = weight;
        if (kind == 1) _ridgeSector[s][i] = weight;
    }

    private void Spread(byte[][] maps, int sector)
    {
        using Mat raw = Mat.FromPixelData(Height, Width, MatType.CV_8UC1, maps[sector]);
        using Mat kernel = Cv2.GetStructuringElement(MorphShapes.Rect, new Size(5, 5));
        using Mat spread = new();
        Cv2.Dilate(raw, spread, kernel);
        System.Runtime.InteropServices.Marshal.Copy(spread.Data, maps[sector], 0, maps[sector].Length);
    }
}
