using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Rectification;
using OpenCvSharp;

namespace Analyzer.Vision.Stitches;

/// <summary>
/// How strongly each place looks like a line of one family, in a raster in which that family runs along the rows.
/// Three channels: the ridge filter's answer (centre less flanks, averaged along) in each opponent colour channel.
/// </summary>
internal sealed class FamilyEvidence
{
    private readonly float[] _l, _a, _b;

    private FamilyEvidence(LineFamily family, BlockSize size, double pixelsPerMm, double alongStartMm, double acrossStartMm, int cols, int rows, float[][] channels)
    {
        Family = family;
        Size = size;
        PixelsPerMm = pixelsPerMm;
        AlongStartMm = alongStartMm;
        AcrossStartMm = acrossStartMm;
        Cols = cols;
        Rows = rows;
        (_l, _a, _b) = (channels[0], channels[1], channels[2]);
        Noise = EstimateNoise();
    }

    public LineFamily Family { get; }

    public BlockSize Size { get; }

    public double PixelsPerMm { get; }

    /// <summary>u·p of column 0 and n·p of row 0, mm.</summary>
    public double AlongStartMm { get; }

    public double AcrossStartMm { get; }

    public int Cols { get; }

    public int Rows { get; }

    /// <summary>Covariance of the answers on plain ground.</summary>
    public ColourCovariance Noise { get; }

    public static FamilyEvidence Of(ReducedPhoto photo, BlockPlane plane, LineFamily family, EvidenceSettings settings)
    {
        const double marginMm = 3;
        BlockPoint[] corners = plane.Size.Corners();
        double alongStart = corners.Min(family.Along) - marginMm, alongEnd = corners.Max(family.Along) + marginMm;
        double acrossStart = corners.Min(family.Across) - marginMm, acrossEnd = corners.Max(family.Across) + marginMm;
        double r = settings.PixelsPerMm;
        int cols = (int)Math.Ceiling((alongEnd - alongStart) * r) + 1, rows = (int)Math.Ceiling((acrossEnd - acrossStart) * r) + 1;
        // Block from raster is affine: p = u (along) + n (across).
        var blockFromRaster = new Homography(
        [
            family.AlongX / r, family.AcrossX / r, family.AlongX * alongStart + family.AcrossX * acrossStart,
            family.AlongY / r, family.AcrossY / r, family.AlongY * alongStart + family.AcrossY * acrossStart,
            0, 0, 1,
        ]);
        var reducedFromPhoto = new Homography([photo.Scale, 0, 0.5 * photo.Scale - 0.5, 0, photo.ScaleY, 0.5 * photo.ScaleY - 0.5, 0, 0, 1]);
        Homography reducedFromRaster = reducedFromPhoto.After(plane.PhotoFromBlock).After(blockFromRaster);
        using Mat map = Mat.FromPixelData(3, 3, MatType.CV_64FC1, reducedFromRaster.Rows.ToArray());
        using var warped = new Mat();
        Cv2.WarpPerspective(photo.Bgr, warped, map, new Size(cols, rows), InterpolationFlags.Linear | InterpolationFlags.WarpInverseMap, BorderTypes.Replicate);
        float[][] channels = Filter(warped, settings, r);
        return new FamilyEvidence(family, plane.Size, r, alongStart, acrossStart, cols, rows, channels);
    }

    private static float[][] Filter(Mat bgr, EvidenceSettings settings, double pixelsPerMm)
    {
        using var opponent = new Mat();
        using Mat toOpponent = Mat.FromPixelData(3, 3, MatType.CV_32FC1, new float[] { 0.114f, 0.587f, 0.299f, 0, -1, 1, -1, 0.5f, 0.5f });
        using var single = new Mat();
        bgr.ConvertTo(single, MatType.CV_32FC3);
        Cv2.Transform(single, opponent, toOpponent);
        float[] across = Ricker(Math.Max(settings.RidgeScaleMm * pixelsPerMm, 0.9));
        float[] along = Gaussian(settings.AlongScaleMm * pixelsPerMm);
        using Mat kx = Mat.FromPixelData(1, along.Length, MatType.CV_32FC1, along);
        using Mat ky = Mat.FromPixelData(across.Length, 1, MatType.CV_32FC1, across);
        using var answer = new Mat();
        Cv2.SepFilter2D(opponent, answer, MatType.CV_32FC3, kx, ky, null, 0, BorderTypes.Reflect101);
        Mat[] planes = Cv2.Split(answer);
        try
        {
            return [.. planes.Select(Copy)];
        }
        finally
        {
            foreach (Mat p in planes) p.Dispose();
        }
    }

    private static float[] Copy(Mat plane)
    {
        plane.GetArray(out float[] data);
        return data;
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
        int i = row * Cols + col;
        return new Colour3(_l[i], _a[i], _b[i]);
    }

    /// <summary>The answers at a place given by u·p and n·p, between pixels by bilinear weights; zero outside the raster.</summary>
    public Colour3 AtMm(double alongMm, double acrossMm)
    {
        double x = (alongMm - AlongStartMm) * PixelsPerMm, y = (acrossMm - AcrossStartMm) * PixelsPerMm;
        int c = (int)x, r = (int)y;
        if (x < 0 || y < 0 || c >= Cols - 1 || r >= Rows - 1) return default;
        double fx = x - c, fy = y - r;
        int i = r * Cols + c;
        double w00 = (1 - fx) * (1 - fy), w01 = fx * (1 - fy), w10 = (1 - fx) * fy, w11 = fx * fy;
        return new Colour3(
            w00 * _l[i] + w01 * _l[i + 1] + w10 * _l[i + Cols] + w11 * _l[i + Cols + 1],
            w00 * _a[i] + w01 * _a[i + 1] + w10 * _a[i + Cols] + w11 * _a[i + Cols + 1],
            w00 * _b[i] + w01 * _b[i + 1] + w10 * _b[i + Cols] + w11 * _b[i + Cols + 1]);
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
        int step = Math.Max(2, (int)Math.Sqrt((double)Cols * Rows / 20000));
        for (int row = step / 2; row < Rows; row += step)
            for (int col = (row / step % 2) * step / 2; col < Cols; col += step)
                if (Inside(AlongStartMm + col / PixelsPerMm, AcrossStartMm + row / PixelsPerMm, 3)) values.Add(At(col, row));
        return ColourCovariance.Robust(values);
    }
}
