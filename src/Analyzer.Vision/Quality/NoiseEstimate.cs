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
        using Mat size = Cv2.Abs(response).ToMat();
        var tiles = new List<double>();
        int rows = grey.Rows, cols = grey.Cols;
        for (int y = 1; y + TilePx < rows; y += TilePx)
            for (int x = 1; x + TilePx < cols; x += TilePx)
            {
                using Mat tile = size[y, y + TilePx, x, x + TilePx];
                tiles.Add(Cv2.Mean(tile).Val0 * Math.Sqrt(Math.PI / 2) / 6);
            }
        if (tiles.Count == 0) return 0;
        tiles.Sort();
        return tiles[tiles.Count / 10];
    }
}
