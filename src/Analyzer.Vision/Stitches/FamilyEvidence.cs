using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Rectification;
using OpenCvSharp;

namespace Analyzer.Vision.Stitches;

/// <summary>
/// How strongly each place looks like a line of one family, in a raster in which that family runs along the rows.
/// Three numbers a place: the ridge filter's answer (centre less flanks, averaged along) in blue, green and red.
/// </summary>
/// <remarks>
/// Across the lines the raster has the full resolution, along them half of it: the answer is averaged along anyway. It is worked out in bands, and of
/// each band only what lies in the block, because a family at 45 degrees fills just half of its raster.
/// </remarks>
internal sealed class FamilyEvidence
{
    /// <summary>Raster columns a millimetre along are this many times fewer than rows a millimetre across.</summary>
    private const int AlongReduction = 2;

    private const double MarginMm = 3;

    private readonly float[] _bgr;

    private FamilyEvidence(LineFamily family, BlockSize size, EvidenceSettings settings)
    {
        Family = family;
        Size = size;
        PixelsPerMm = settings.PixelsPerMm;
        AlongPixelsPerMm = PixelsPerMm / AlongReduction;
        BlockPoint[] corners = size.Corners();
        double alongStart = corners.Min(family.Along) - MarginMm, alongEnd = corners.Max(family.Along) + MarginMm;
        AcrossStartMm = corners.Min(family.Across) - MarginMm;
        double acrossEnd = corners.Max(family.Across) + MarginMm;
        Cols = (int)Math.Ceiling((alongEnd - alongStart) * AlongPixelsPerMm) + 1;
        Rows = (int)Math.Ceiling((acrossEnd - AcrossStartMm) * PixelsPerMm) + 1;
        // A column is the mean of some finer ones: its middle lies between them.
        AlongStartMm = alongStart + (AlongReduction - 1) / 2.0 / PixelsPerMm;
        _bgr = new float[3 * Rows * Cols];
        Noise = ColourCovariance.Unit;
    }

    public LineFamily Family { get; }

    public BlockSize Size { get; }

    /// <summary>Rows a millimetre across the family.</summary>
    public double PixelsPerMm { get; }

    /// <summary>Columns a millimetre along the family.</summary>
    public double AlongPixelsPerMm { get; }

    /// <summary>u·p of column 0 and n·p of row 0, mm.</summary>
    public double AlongStartMm { get; }

    public double AcrossStartMm { get; }

    public int Cols { get; }

    public int Rows { get; }

    /// <summary>Covariance of the answers on plain ground.</summary>
    public ColourCovariance Noise { get; private set; }

    /// <summary>The answers, row by row, three numbers a place.</summary>
    public ReadOnlySpan<float> Bgr => _bgr;

    public static FamilyEvidence[] OfAll(ReducedPhoto photo, BlockPlane plane, IReadOnlyList<LineFamily> families, EvidenceSettings settings)
    {
        const int bandRows = 96;
        FamilyEvidence[] all = [.. families.Select(f => new FamilyEvidence(f, plane.Size, settings))];
        (FamilyEvidence Evidence, int Row)[] bands = [.. all.SelectMany(e => Enumerable.Range(0, (e.Rows + bandRows - 1) / bandRows).Select(k => (e, k * bandRows)))];
        Parallel.ForEach(bands, b => b.Evidence.FillBand(photo, plane, settings, b.Row, Math.Min(bandRows, b.Evidence.Rows - b.Row)));
        Parallel.ForEach(all, e => e.Noise = e.EstimateNoise());
        return all;
    }

    private unsafe void FillBand(ReducedPhoto photo, BlockPlane plane, EvidenceSettings settings, int firstRow, int rows)
    {
        float[] across = Ricker(Math.Max(settings.RidgeScaleMm * PixelsPerMm, 0.9));
        float[] along = Gaussian(settings.AlongScaleMm * AlongPixelsPerMm);
        int padRows = across.Length / 2, padCols = along.Length / 2;
        double top = AcrossStartMm + firstRow / PixelsPerMm, bottom = top + (rows - 1) / PixelsPerMm;
        (double from, double to) = BlockSpan.Along(Family, Size, top - 1, bottom + 1);
        if (!(to > from)) return;
        int firstCol = Math.Max(0, (int)Math.Floor((from - 1 - AlongStartMm) * AlongPixelsPerMm)), lastCol = Math.Min(Cols - 1, (int)Math.Ceiling((to + 1 - AlongStartMm) * AlongPixelsPerMm));
        int cols = lastCol - firstCol + 1;
        if (cols < 2) return;
        using Mat fine = Warp(photo, plane, firstCol - padCols, firstRow - padRows, AlongReduction * (cols + 2 * padCols), rows + 2 * padRows);
        using var even = new Mat();
        Cv2.Resize(fine, even, new Size(cols + 2 * padCols, rows + 2 * padRows), 0, 0, InterpolationFlags.Area);
        using Mat kx = Mat.FromPixelData(1, along.Length, MatType.CV_32FC1, along);
        using Mat ky = Mat.FromPixelData(across.Length, 1, MatType.CV_32FC1, across);
        using var answer = new Mat();
        Cv2.SepFilter2D(even, answer, MatType.CV_32FC3, kx, ky, null, 0, BorderTypes.Reflect101);
        for (int r = 0; r < rows; r++)
            new ReadOnlySpan<float>((float*)answer.Ptr(r + padRows) + 3 * padCols, 3 * cols).CopyTo(_bgr.AsSpan(3 * ((firstRow + r) * Cols + firstCol), 3 * cols));
    }

    /// <summary>The family's own view of the photo from the given raster place on, at full resolution both ways.</summary>
    private unsafe Mat Warp(ReducedPhoto photo, BlockPlane plane, int firstCol, int firstRow, int fineCols, int rows)
    {
        double r = PixelsPerMm;
        double s = AlongStartMm - (AlongReduction - 1) / 2.0 / r + firstCol / AlongPixelsPerMm, n = AcrossStartMm + firstRow / r;
        // Block from raster is affine: p = u (along) + n (across).
        var blockFromRaster = new Homography(
        [
            Family.AlongX / r, Family.AcrossX / r, Family.AlongX * s + Family.AcrossX * n,
            Family.AlongY / r, Family.AcrossY / r, Family.AlongY * s + Family.AcrossY * n,
            0, 0, 1,
        ]);
        Homography reducedFromRaster = photo.FromPhoto.After(plane.PhotoFromBlock).After(blockFromRaster);
        var warped = new Mat(rows, fineCols, MatType.CV_8UC3);
        BgrPixels from = new(photo.Bgr), into = new(warped);
        for (int y = 0; y < rows; y++) PhotoRow.Of(reducedFromRaster, 0, y, 1, 0).Read(from, new Span<byte>(into.Data + (long)y * into.Stride, 3 * fineCols));
        return warped;
    }

    /// <summary>Second-derivative kernel (1 - x²)exp(-x²/2), zero mean, unit sum of squares.</summary>
    private static float[] Ricker(double scalePx)
    {
        int radius = (int)Math.Ceiling(4 * scalePx);
        double[] k = [.. Enumerable.Range(-radius, 2 * radius + 1).Select(i => i / scalePx).Select(x => (1 - x * x) * Math.Exp(-x * x / 2))];
        double mean = k.Average();
        double norm = Math.Sqrt(k.Sum(v => (v - mean) * (v - mean)));
        return [.. k.Select(v => (float)((v - mean) / norm))];
    }

    private static float[] Gaussian(double scalePx)
    {
        int radius = (int)Math.Ceiling(2.7 * scalePx);
        double[] k = [.. Enumerable.Range(-radius, 2 * radius + 1).Select(i => Math.Exp(-0.5 * i * i / (scalePx * scalePx)))];
        double sum = k.Sum();
        return [.. k.Select(v => (float)(v / sum))];
    }

    public Colour3 At(int col, int row)
    {
        int i = 3 * (row * Cols + col);
        return Colour3.OfBgr(_bgr[i], _bgr[i + 1], _bgr[i + 2]);
    }

    /// <summary>The answers at a place given by u·p and n·p, between pixels by bilinear weights; zero outside the raster.</summary>
    public Colour3 AtMm(double alongMm, double acrossMm)
    {
        double x = (alongMm - AlongStartMm) * AlongPixelsPerMm, y = (acrossMm - AcrossStartMm) * PixelsPerMm;
        int c = (int)x, r = (int)y;
        if (x < 0 || y < 0 || c >= Cols - 1 || r >= Rows - 1) return default;
        double fx = x - c, fy = y - r;
        int i = 3 * (r * Cols + c), j = i + 3 * Cols;
        double w00 = (1 - fx) * (1 - fy), w01 = fx * (1 - fy), w10 = (1 - fx) * fy, w11 = fx * fy;
        return Colour3.OfBgr(
            w00 * _bgr[i] + w01 * _bgr[i + 3] + w10 * _bgr[j] + w11 * _bgr[j + 3],
            w00 * _bgr[i + 1] + w01 * _bgr[i + 4] + w10 * _bgr[j + 1] + w11 * _bgr[j + 4],
            w00 * _bgr[i + 2] + w01 * _bgr[i + 5] + w10 * _bgr[j + 2] + w11 * _bgr[j + 5]);
    }

    /// <summary>Strengths of all places, row by row.</summary>
    public float[] Strengths(in StrengthMeasure measure)
    {
        var strengths = new float[Rows * Cols];
        for (int k = 0, i = 0; k < strengths.Length; k++, i += 3) strengths[k] = measure.Of(_bgr[i], _bgr[i + 1], _bgr[i + 2]);
        return strengths;
    }

    /// <summary>Strengths in one column at u·p, on the raster's rows from the given one on; zero outside.</summary>
    public void Column(double alongMm, int firstRow, Span<float> strengths, in StrengthMeasure measure)
    {
        double x = (alongMm - AlongStartMm) * AlongPixelsPerMm;
        int c = (int)x;
        if (x < 0 || c >= Cols - 1)
        {
            strengths.Clear();
            return;
        }
        float f = (float)(x - c), g = 1 - f;
        for (int k = 0; k < strengths.Length; k++)
        {
            int row = firstRow + k;
            if (row < 0 || row >= Rows)
            {
                strengths[k] = 0;
                continue;
            }
            int i = 3 * (row * Cols + c);
            strengths[k] = measure.Of(g * _bgr[i] + f * _bgr[i + 3], g * _bgr[i + 1] + f * _bgr[i + 4], g * _bgr[i + 2] + f * _bgr[i + 5]);
        }
    }

    /// <summary>Whether a place lies inside the block, at least the inset from its edges.</summary>
    public bool Inside(double alongMm, double acrossMm, double insetMm)
    {
        BlockPoint p = Family.At(alongMm, acrossMm);
        return p.Xmm > insetMm && p.Ymm > insetMm && p.Xmm < Size.WidthMm - insetMm && p.Ymm < Size.HeightMm - insetMm;
    }

    private ColourCovariance EstimateNoise()
    {
        var values = new List<Colour3>();
        int step = Math.Max(2, (int)Math.Sqrt((double)Cols * Rows / 10000));
        for (int row = step / 2; row < Rows; row += step)
            for (int col = (row / step % 2) * step / 2; col < Cols; col += step)
                if (Inside(AlongStartMm + col / AlongPixelsPerMm, AcrossStartMm + row / PixelsPerMm, 3)) values.Add(At(col, row));
        return ColourCovariance.Robust(values);
    }
}
