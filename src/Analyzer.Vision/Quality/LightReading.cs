using OpenCvSharp;

namespace Analyzer.Vision.Quality;

/// <summary>Brightness of the rectified block.</summary>
/// <param name="MeanPercent">Mean of the brightest channel, percent of full.</param>
/// <param name="ClippedPercent">Pixels with all channels at the top or all at the bottom of the scale, percent.</param>
/// <param name="GlarePercent">Area of 4 mm cells in which most pixels are burnt out, percent.</param>
internal sealed record LightReading(double MeanPercent, double ClippedPercent, double GlarePercent)
{
    private const int CellPx = 8;

    public static unsafe LightReading Of(Mat bgr)
    {
        int rows = bgr.Rows, cols = bgr.Cols, across = (cols + CellPx - 1) / CellPx, down = (rows + CellPx - 1) / CellPx;
        var burnt = new int[across * down];
        var count = new int[across * down];
        long sum = 0, clipped = 0;
        for (int y = 0; y < rows; y++)
        {
            byte* p = (byte*)bgr.Ptr(y);
            for (int x = 0; x < cols; x++, p += 3)
            {
                int top = Math.Max(p[0], Math.Max(p[1], p[2])), low = Math.Min(p[0], Math.Min(p[1], p[2])), cell = y / CellPx * across + x / CellPx;
                sum += top;
                count[cell]++;
                if (low >= 253) burnt[cell]++;
                if (low >= 253 || top <= 2) clipped++;
            }
        }
        long all = Math.Max(1L, (long)rows * cols), glare = 0;
        for (int i = 0; i < burnt.Length; i++)
            if (burnt[i] * 10 >= count[i] * 6) glare += count[i];
        return new LightReading(100.0 * sum / all / 255, 100.0 * clipped / all, 100.0 * glare / all);
    }

    /// <summary>Brightness that only a hundredth of the whole photo exceeds, percent of full: a dark block has something brighter round it, a dark photo has not.</summary>
    public static unsafe double BrightestPercent(Mat bgr)
    {
        const int stepPx = 16, share = 100;
        var count = new int[256];
        int all = 0, rows = bgr.Rows, cols = bgr.Cols;
        for (int y = stepPx / 2; y < rows; y += stepPx)
        {
            byte* row = (byte*)bgr.Ptr(y);
            for (int x = stepPx / 2; x < cols; x += stepPx, all++) count[Math.Max(row[3 * x], Math.Max(row[3 * x + 1], row[3 * x + 2]))]++;
        }
        int level = 255;
        for (int above = count[255]; level > 0 && above * share < all; above += count[level]) level--;
        return 100.0 * level / 255;
    }
}
