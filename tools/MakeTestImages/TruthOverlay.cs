using Analyzer.Core.Geometry;
using Analyzer.Testing;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.PixelFormats;
using SixLabors.ImageSharp.Processing;

namespace MakeTestImages;

/// <summary>Draws the truth as hairlines over an enlarged part of a photo: thread green, marks cyan, finished edge magenta, extra lines orange.</summary>
internal static class TruthOverlay
{
    public static void Draw(string photoPath, string truthPath, string output, int[] part)
    {
        SceneTruth truth = TruthJson.Load(truthPath);
        using Image<Rgb24> image = Image.Load<Rgb24>(photoPath);
        int[] p = part.Length >= 4 ? part : [0, 0, image.Width, image.Height];
        int zoom = part.Length > 4 ? part[4] : 1;
        image.Mutate(x => x.Crop(new Rectangle(p[0], p[1], p[2], p[3])).Resize(p[2] * zoom, p[3] * zoom, KnownResamplers.NearestNeighbor));
        Homography photoFromBlock = truth.PhotoFromBlock;
        void Path(IReadOnlyList<BlockPoint> points, Rgb24 colour)
        {
            for (int i = 0; i + 1 < points.Count; i++)
            {
                (double ax, double ay) = photoFromBlock.Map(points[i].Xmm, points[i].Ymm);
                (double bx, double by) = photoFromBlock.Map(points[i + 1].Xmm, points[i + 1].Ymm);
                int steps = Math.Max(1, (int)(zoom * Math.Max(Math.Abs(bx - ax), Math.Abs(by - ay))));
                for (int k = 0; k <= steps; k++) Dot(image, ax + (bx - ax) * k / steps - p[0], ay + (by - ay) * k / steps - p[1], zoom, colour);
            }
        }
        foreach (LineTruth line in truth.Lines)
        {
            Path(line.Mark, new Rgb24(0, 220, 255));
            Path(line.Holes, new Rgb24(0, 255, 60));
        }
        foreach (IReadOnlyList<BlockPoint> extra in truth.ExtraLines) Path(extra, new Rgb24(255, 150, 0));
        BlockPoint[] corners = truth.Grid.Size.Corners();
        Path([.. corners, corners[0]], new Rgb24(255, 0, 255));
        image.SaveAsPng(output);
    }

    /// <summary>A photo pixel's centre is the middle of its enlarged square.</summary>
    private static void Dot(Image<Rgb24> image, double x, double y, int zoom, Rgb24 colour)
    {
        int px = (int)Math.Floor((x + 0.5) * zoom), py = (int)Math.Floor((y + 0.5) * zoom);
        if (px >= 0 && py >= 0 && px < image.Width && py < image.Height) image[px, py] = colour;
    }
}
