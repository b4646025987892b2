using System.Numerics;
using System.Runtime.CompilerServices;
using Analyzer.Core.Geometry;
using Analyzer.Vision.Photos;
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

    /// <summary>Directions in quick looks are counted in 256 steps of a half turn, so that bytes wrap round as directions do; this many are about 25 degrees.</summary>
    private const int DirectionSteps = 256, AlongSteps = 35;

    private static readonly (int X, int Y)[] _neighbours = [.. Enumerable.Range(0, DirectionSteps).Select(k => ((int)Math.Round(Math.Cos(k * Math.PI / DirectionSteps)), (int)Math.Round(Math.Sin(k * Math.PI / DirectionSteps))))];

    private readonly float[] _step, _stepDir, _ridge, _ridgeDir;

    /// <summary>Ridges packed for quick looks: weight 0..255 in the upper byte, direction of the normal in the lower.</summary>
    private readonly ushort[] _ridgeSeen;
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

    /// <summary>The kinds of colour at every place.</summary>
    public ClothMap Cloths { get; private set; } = null!;

    private EvidenceMap(int width, int height, double scale)
    {
        Width = width;
        Height = height;
        Scale = scale;
        _step = new float[width * height];
        _stepDir = new float[width * height];
        _ridge = new float[width * height];
        _ridgeDir = new float[width * height];
        _ridgeSeen = new ushort[width * height];
        _seamSector = new byte[Sectors][];
        _ridgeSector = new byte[Sectors][];
    }

    /// <summary>Begins with the whole photo's evidence beside other work; <see cref="OfWhole"/> waits for it.</summary>
    public static void Begin(Photo photo) => photo.Evidence ??= Task.Run(() => Of(photo));

    /// <summary>The whole photo's evidence. What was begun before is handed out once and not kept: it is large.</summary>
    public static EvidenceMap OfWhole(Photo photo)
    {
        if (photo.Evidence is not { } begun) return Of(photo);
        EvidenceMap map = begun.GetAwaiter().GetResult();
        photo.Evidence = null;
        return map;
    }

    /// <summary>The whole photo, or the part of it that is given.</summary>
    public static EvidenceMap Of(Photo photo, Rect? part = null)
    {
        Mat bgr = photo.Bgr;
        Rect area = part ?? new Rect(0, 0, bgr.Cols, bgr.Rows);
        double scale = Math.Max(1, Math.Max(area.Width, area.Height) / (double)LongSidePx);
        var size = new Size((int)Math.Round(area.Width / scale), (int)Math.Round(area.Height / scale));
        using Mat cut = bgr[area], small = new(), colours = new(), blurred = new();
        // The whole photo is shrunk for other stages too, at most to twice this size.
        int of = part is null ? Halvings(bgr) : 1;
        Shrink(of > 1 ? photo.Shrunk(of) : cut, small, size);
        InBands(small, colours, MatType.CV_32FC3, ToOpponent);
        InBands(colours, blurred, MatType.CV_32FC3, (from, into) => Cv2.GaussianBlur(from, into, new Size(0, 0), 1.1));
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

    /// <summary>By how much a photo can be shrunk by halving, down to twice the small picture.</summary>
    private static int Halvings(Mat bgr)
    {
        int of = 1, cols = bgr.Cols, rows = bgr.Rows;
        while (Math.Max(cols, rows) >= 4 * of * LongSidePx && cols % (2 * of) == 0 && rows % (2 * of) == 0) of *= 2;
        return of;
    }

    /// <summary>By area; a photo of twice the size and more is halved first, as often as it can be, which is quick and as good.</summary>
    private static void Shrink(Mat bgr, Mat small, Size size)
    {
        if (bgr.Cols < 2 * size.Width || bgr.Rows < 2 * size.Height || (bgr.Cols & 1) != 0 || (bgr.Rows & 1) != 0)
        {
            Cv2.Resize(bgr, small, size, 0, 0, InterpolationFlags.Area);
            return;
        }
        using Mat half = new();
        Cv2.Resize(bgr, half, new Size(bgr.Cols / 2, bgr.Rows / 2), 0, 0, InterpolationFlags.Area);
        Shrink(half, small, size);
    }

    /// <summary>The opponent colours of one value: sum, red-green, yellow-blue.</summary>
    public static (float Sum, float RedGreen, float YellowBlue) Opponent(float b, float g, float r) => (0.3333f * (b + g + r), 0.7f * (r - g), 0.4f * (g + r) - 0.8f * b);

    /// <summary>Does to bands of rows, side by side, what would be done to the whole picture: beyond a band's rim its neighbours are looked at.</summary>
    private static void InBands(Mat from, Mat into, MatType type, Action<Mat, Mat> change)
    {
        const int bandRows = 64;
        int rows = from.Rows, cols = from.Cols;
        into.Create(rows, cols, type);
        Parallel.For(0, (rows + bandRows - 1) / bandRows, k =>
        {
            int first = k * bandRows, last = Math.Min(rows, first + bandRows);
            using Mat source = from[first, last, 0, cols], target = into[first, last, 0, cols];
            change(source, target);
        });
    }

    /// <summary>8-bit BGR to float opponent colours.</summary>
    private static void ToOpponent(Mat bgr, Mat colours)
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
    public List<Crest> Crests()
    {
        const int bandRows = 64;
        var bands = new List<Crest>[(Height + bandRows - 1) / bandRows];
        Parallel.For(0, bands.Length, k => bands[k] = Crests(Math.Max(2, k * bandRows), Math.Min(Height - 2, (k + 1) * bandRows)));
        var crests = new List<Crest>(bands.Sum(b => b.Count));
        foreach (List<Crest> band in bands) crests.AddRange(band);
        return crests;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private List<Crest> Crests(int fromRow, int toRow)
    {
        var crests = new List<Crest>(6_000);
        for (int y = fromRow; y < toRow; y++)
            for (int x = 2; x < Width - 2; x++)
            {
                int i = y * Width + x;
                if (_step[i] > NothingBelow && IsCrest(_step, i, _stepDir[i])) crests.Add(new Crest(x, y, _stepDir[i], Weight(_step[i])));
                if (_ridge[i] > NothingBelow && IsCrest(_ridge, i, _ridgeDir[i])) crests.Add(new Crest(x, y, _ridgeDir[i], Weight(_ridge[i])));
            }
        return crests;
    }

    /// <summary>Step or ridge evidence 0..255 across a direction (radians, of the normal) near a pixel; 0 outside.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public int SeamNear(double x, double y, int sector) => At(_seamSector[sector], x, y);

    /// <summary>Ridge evidence 0..255 across a direction near a pixel; 0 outside.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public int RidgeNear(double x, double y, int sector) => At(_ridgeSector[sector], x, y);

    /// <summary>A normal's direction for <see cref="RidgeAt"/>.</summary>
    public static byte DirectionOf(double normalRad) => (byte)(int)Math.Round(normalRad * DirectionSteps / Math.PI);

    /// <summary>Ridge evidence 0..255 at a pixel, where the ridge runs across the given normal to within 25 degrees; 0 outside.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public int RidgeAt(float x, float y, byte normal)
    {
        int ix = (int)(x + 0.5f), iy = (int)(y + 0.5f);
        return (uint)ix >= (uint)Width || (uint)iy >= (uint)Height ? 0 : IfAlong(_ridgeSeen[iy * Width + ix], normal);
    }

    /// <summary>Adds the evidence at places in even steps from (x, y) to a profile.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void AddRidges(float x, float y, float stepX, float stepY, byte normal, Span<int> into)
    {
        int last = into.Length - 1;
        float endX = x + last * stepX, endY = y + last * stepY;
        if (MathF.Min(x, endX) < 0.5f || MathF.Min(y, endY) < 0.5f || MathF.Max(x, endX) > Width - 1.5f || MathF.Max(y, endY) > Height - 1.5f)
        {
            for (int k = 0; k < into.Length; k++) into[k] += RidgeAt(x + k * stepX, y + k * stepY, normal);
            return;
        }
        // All inside: fixed point with 16 bits of fraction.
        int fx = (int)((x + 0.5f) * 65536), fy = (int)((y + 0.5f) * 65536), dx = (int)(stepX * 65536), dy = (int)(stepY * 65536), width = Width;
        ushort[] seen = _ridgeSeen;
        for (int k = 0; k < into.Length; k++)
        {
            into[k] += IfAlong(seen[(fy >> 16) * width + (fx >> 16)], normal);
            fx += dx;
            fy += dy;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int IfAlong(int seen, byte normal)
    {
        int off = (sbyte)(seen - normal);
        return (uint)(off + AlongSteps) <= 2 * AlongSteps ? seen >> 8 : 0;
    }

    public bool IsInside(double x, double y) => x > 1 && y > 1 && x < Width - 2 && y < Height - 2;

    public static int SectorOf(double normalRad)
    {
        int sector = (int)Math.Round(normalRad * Sectors / Math.PI) % Sectors;
        return sector < 0 ? sector + Sectors : sector;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private int At(byte[] map, double x, double y)
    {
        int ix = (int)(x + 0.5), iy = (int)(y + 0.5);
        return (uint)ix < (uint)Width && (uint)iy < (uint)Height ? map[iy * Width + ix] : 0;
    }

    private static float Weight(float strength) => Math.Clamp((strength - NothingBelow) / (FullAt - NothingBelow), 0, 1);

    private bool IsCrest(float[] map, int i, float direction)
    {
        (int dx, int dy) = _neighbours[DirectionOf(direction)];
        int step = dy * Width + dx;
        return map[i] >= map[i + step] && map[i] > map[i - step];
    }

    private unsafe void Measure(Mat blurred)
    {
        var pointer = (float*)blurred.Data;
        int row = (int)(blurred.Step() / sizeof(float));
        Task<ClothMap> cloths = Task.Run(() => ClothMap.Of(pointer, row, Width, Height));
        var noise = new LocalNoise(pointer, row, Width, Height);
        Mat[] planes = Cv2.Split(blurred);
        try
        {
            float*[] at = [(float*)planes[0].Data, (float*)planes[1].Data, (float*)planes[2].Data];
            int stride = (int)(planes[0].Step() / sizeof(float));
            if (Width >= Vector<float>.Count + 2) Parallel.For(1, Height - 1, y => MeasureRow(at, stride, y, noise));
        }
        finally
        {
            Cloths = cloths.GetAwaiter().GetResult();
            foreach (Mat plane in planes) plane.Dispose();
        }
    }

    /// <summary>One row, several pixels at a time; the noise is taken as it is at the first of them.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private unsafe void MeasureRow(float*[] planes, int stride, int y, LocalNoise noise)
    {
        int many = Vector<float>.Count, last = Width - 1 - many;
        float[] scales = new float[6];
        for (int x = 1; x < Width - 1; x += many)
        {
            x = Math.Min(x, last);
            noise.ScalesAt(x, y, scales);
            Vector<float> jxx = default, jxy = default, jyy = default, best = default, bestHalf = default, bestXy = default, bestDifference = default;
            for (int c = 0; c < 3; c++)
            {
                float* p = planes[c] + y * stride + x, up = p - stride, down = p + stride;
                Vector<float> here = Vector.Load(p) * 2, left = Vector.Load(p - 1), right = Vector.Load(p + 1), above = Vector.Load(up), below = Vector.Load(down);
                Vector<float> gx = (right - left) * scales[c], gy = (below - above) * scales[c];
                jxx += gx * gx;
                jxy += gx * gy;
                jyy += gy * gy;
                Vector<float> hxx = right - here + left, hyy = below - here + above;
                Vector<float> hxy = (Vector.Load(down + 1) - Vector.Load(down - 1) - Vector.Load(up + 1) + Vector.Load(up - 1)) * 0.25f;
                Vector<float> half = (hxx + hyy) * 0.5f, difference = hxx - hyy, size = Vector.Abs(half), spread = Vector.SquareRoot(difference * difference * 0.25f + hxy * hxy);
                // The larger curvature less half the smaller: spots and corners count less than lines.
                Vector<float> strength = (size + spread - Vector.Abs(size - spread) * 0.5f) * scales[3 + c];
                Vector<int> more = Vector.GreaterThan(strength, best);
                best = Vector.ConditionalSelect(more, strength, best);
                bestHalf = Vector.ConditionalSelect(more, half, bestHalf);
                bestXy = Vector.ConditionalSelect(more, hxy, bestXy);
                bestDifference = Vector.ConditionalSelect(more, difference, bestDifference);
            }
            int i = y * Width + x;
            Vector<float> apart = jxx - jyy;
            Vector.SquareRoot((jxx + jyy) * 0.5f + Vector.SquareRoot(apart * apart * 0.25f + jxy * jxy)).CopyTo(_step, i);
            (Angle(jxy * 2, apart) * 0.5f).CopyTo(_stepDir, i);
            best.CopyTo(_ridge, i);
            // Eigenvector of the eigenvalue of larger size.
            Vector<float> turn = Vector.ConditionalSelect(Vector.LessThan(bestHalf, Vector<float>.Zero), new Vector<float>(MathF.PI / 2), Vector<float>.Zero);
            (Angle(bestXy * 2, bestDifference) * 0.5f + turn).CopyTo(_ridgeDir, i);
        }
    }

    /// <summary>Direction of (x, y), radians: Abramowitz and Stegun 4.4.47, error below 0.00002.</summary>
    private static Vector<float> Angle(Vector<float> y, Vector<float> x)
    {
        Vector<float> ax = Vector.Abs(x), ay = Vector.Abs(y), a = Vector.Min(ax, ay) / Vector.Max(Vector.Max(ax, ay), new Vector<float>(1e-20f)), s = a * a;
        Vector<float> r = ((((s * 0.0208351f - new Vector<float>(0.0851330f)) * s + new Vector<float>(0.1801410f)) * s - new Vector<float>(0.3302995f)) * s + new Vector<float>(0.9998660f)) * a;
        r = Vector.ConditionalSelect(Vector.GreaterThan(ay, ax), new Vector<float>(MathF.PI / 2) - r, r);
        r = Vector.ConditionalSelect(Vector.LessThan(x, Vector<float>.Zero), new Vector<float>(MathF.PI) - r, r);
        return Vector.ConditionalSelect(Vector.LessThan(y, Vector<float>.Zero), -r, r);
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
        byte[][] seams = _seamSector, ridges = _ridgeSector;
        for (int i = y * Width; i < (y + 1) * Width; i++)
        {
            float step = _step[i], ridge = _ridge[i];
            if (step > NothingBelow)
            {
                byte weight = (byte)(255 * Weight(step));
                (int nearest, int above, int below) = SectorsNear(_stepDir[i]);
                seams[nearest][i] = weight;
                if (above >= 0) seams[above][i] = weight;
                if (below >= 0) seams[below][i] = weight;
            }
            if (ridge > NothingBelow)
            {
                byte weight = (byte)(255 * Weight(ridge));
                (int nearest, int above, int below) = SectorsNear(_ridgeDir[i]);
                _ridgeSeen[i] = (ushort)((weight << 8) | DirectionOf(_ridgeDir[i]));
                Put(nearest);
                if (above >= 0) Put(above);
                if (below >= 0) Put(below);

                void Put(int sector)
                {
                    byte[] seam = seams[sector];
                    ridges[sector][i] = weight;
                    if (seam[i] < weight) seam[i] = weight;
                }
            }
        }
    }

    /// <summary>The sector of a normal's direction, and its neighbours where they count too, else -1: a direction up to 1.3 sectors away does.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static (int Nearest, int Above, int Below) SectorsNear(float direction)
    {
        const float perRad = Sectors / MathF.PI, neighbour = 0.2f;
        float at = direction * perRad + 2 * Sectors;
        int place = (int)(at + 0.5f), sector = place % Sectors;
        float off = at - place;
        return (sector, off > -(0.5f - neighbour) ? sector == Sectors - 1 ? 0 : sector + 1 : -1, off < 0.5f - neighbour ? sector == 0 ? Sectors - 1 : sector - 1 : -1);
    }

    private void Spread(byte[][] maps, int sector)
    {
        using Mat raw = Mat.FromPixelData(Height, Width, MatType.CV_8UC1, maps[sector]);
        using Mat kernel = Cv2.GetStructuringElement(MorphShapes.Rect, new Size(5, 5));
        Cv2.Dilate(raw, raw, kernel);
    }
}
