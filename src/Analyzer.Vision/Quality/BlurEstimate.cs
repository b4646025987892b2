using OpenCvSharp;

namespace Analyzer.Vision.Quality;

/// <summary>Blur of a piece of the photo from its own strongest edges.</summary>
/// <remarks>
/// An edge of blur s, blurred again by s0, has its gradient lowered by R = sqrt(s² + s0²)/s, so s = s0/sqrt(R² - 1)
/// (Zhuo and Sim, Defocus map estimation from a single image, Pattern Recognition 44, 2011; formula from memory, tested on drawn edges).
/// Edges are sorted by direction: a shaken photo is sharp along the shake and blurred across.
/// </remarks>
internal static class BlurEstimate
{
    private const int Directions = 4, FewestEdges = 60;

    /// <summary>Standard deviation of the blur in the worst direction, px; NaN where the piece has no edge to judge by.</summary>
    /// <param name="grey">8-bit grey values.</param>
    /// <param name="noise">Noise, grey levels.</param>
    public static unsafe double Of(Mat grey, double noise)
    {
        const double light = 0.7, again = 1.4;
        using Mat values = new(), soft = new(), softer = new();
        grey.ConvertTo(values, MatType.CV_32F);
        Cv2.GaussianBlur(values, soft, new Size(0, 0), light);
        Cv2.GaussianBlur(soft, softer, new Size(0, 0), again);
        var ratios = new List<double>[Directions];
        for (int d = 0; d < Directions; d++) ratios[d] = [];
        // The gradient of white noise after the light blur is about 0.4 of its level; edges must stand far above it.
        double least = Math.Max(3, 4 * noise * 0.4);
        int rows = grey.Rows, cols = grey.Cols;
        for (int y = 3; y < rows - 3; y++)
        {
            float* above = (float*)soft.Ptr(y - 1), here = (float*)soft.Ptr(y), below = (float*)soft.Ptr(y + 1);
            float* above2 = (float*)softer.Ptr(y - 1), here2 = (float*)softer.Ptr(y), below2 = (float*)softer.Ptr(y + 1);
            for (int x = 3; x < cols - 3; x++)
            {
                double gx = (here[x + 1] - here[x - 1]) / 2, gy = (below[x] - above[x]) / 2, square = gx * gx + gy * gy;
                if (square < least * least) continue;
                double g = Math.Sqrt(square);
                if (!IsCrest(above, here, below, x, gx, gy, g)) continue;
                double hx = (here2[x + 1] - here2[x - 1]) / 2, hy = (below2[x] - above2[x]) / 2, h = Math.Sqrt(hx * hx + hy * hy);
                if (h <= 0 || h >= g) continue;
                int direction = (int)Math.Round(Math.Atan2(gy, gx) * Directions / Math.PI + 2 * Directions) % Directions;
                ratios[direction].Add(g / h);
            }
        }
        double worst = double.NaN;
        foreach (List<double> list in ratios)
        {
            if (list.Count < FewestEdges) continue;
            list.Sort();
            // The sharper edges of the direction: soft shadows are no fault of the photo.
            double r = list[(int)(list.Count * 0.7)];
            // The difference of two neighbours two pixels apart is a blur of variance 1/3 itself.
            double s = Math.Sqrt(Math.Max(0, again * again / (r * r - 1) - light * light - 1 / 3.0));
            worst = double.IsNaN(worst) ? s : Math.Max(worst, s);
        }
        return worst;
    }

    private static unsafe bool IsCrest(float* above, float* here, float* below, int x, double gx, double gy, double g)
    {
        double SizeAt(int dx, int dy)
        {
            // Only the neighbours across the edge are compared, by the slope of the same row or column.
            return dx != 0 ? Math.Abs(here[x + dx + 1] - here[x + dx - 1]) / 2 : Math.Abs((dy > 0 ? below[x] - here[x] : here[x] - above[x]));
        }
        if (Math.Abs(gx) >= Math.Abs(gy)) return Math.Abs(gx) >= SizeAt(1, 0) && Math.Abs(gx) >= SizeAt(-1, 0);
        return g > 0 && Math.Min(SizeAt(0, 1), SizeAt(0, -1)) > 0.75 * Math.Abs(gy);
    }
}
