using OpenCvSharp;

namespace Analyzer.Vision.Quality;

/// <summary>Noise of a piece of the photo, from its calmest tiles.</summary>
/// <remarks>Immerkær, Fast noise variance estimation, CVIU 64(2), 1996: mean |N * I| of a Laplacian difference mask, times sqrt(pi/2)/6. Weave adds to it, so the calmest tenth of the tiles counts.</remarks>
internal static class NoiseEstimate
{
    private const int TilePx = 16;

    /// <summary>Standard deviation, grey levels.</summary>
    public static double Of(Mat grey)
    {
        using Mat mask = Mat.FromPixelData(3, 3, MatType.CV_32FC1, new float[] { 1, -2, 1, -2, 4, -2, 1, -2, 1 });
        using Mat response = new();
        Cv2.Filter2D(grey, response, MatType.CV_32F, mask);
        using MatExpr absolute = Cv2.Abs(response);
        using Mat size = absolute.ToMat();
        int down = (grey.Rows - 2) / TilePx, across = (grey.Cols - 2) / TilePx;
        if (down < 1 || across < 1) return 0;
        // Shrunk by averaging areas, each pixel is the mean of a tile.
        using Mat whole = size[1, 1 + down * TilePx, 1, 1 + across * TilePx], means = new();
        Cv2.Resize(whole, means, new Size(across, down), 0, 0, InterpolationFlags.Area);
        means.GetArray(out float[] tiles);
        Array.Sort(tiles);
        return tiles[tiles.Length / 10] * Math.Sqrt(Math.PI / 2) / 6;
    }
}
