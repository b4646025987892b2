using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;

namespace Analyzer.Vision.Reference;

/// <summary>Finds a bank-card sized card that lies beside the block.</summary>
internal static class CardFinder
{
    private static readonly BlockSize Lying = new(ReferenceFinder.CardWidthMm, ReferenceFinder.CardHeightMm), Upright = new(ReferenceFinder.CardHeightMm, ReferenceFinder.CardWidthMm);

    /// <summary>The card's size in the photo may differ from what the block's given size foretells by this share.</summary>
    private const double MostSizeMisfit = 0.12;

    /// <summary>Corners where the card's straight sides meet (its own corners are round), in the order long top side first, px; or null.</summary>
    public static PhotoPoint[]? Find(Photo photo, BlockCorners block, BlockSize size)
    {
        EvidenceMap map = EvidenceMap.Of(photo.Bgr);
        Homography blockFromPhoto = Homography.FromFourPoints([.. block.ToArray().Select(p => (p.X, p.Y))], [.. size.Corners().Select(p => (p.Xmm, p.Ymm))]);
        (double X, double Y) OnBlock(PhotoPoint p) => blockFromPhoto.Map(p.X, p.Y);
        List<SeamLine> lines = SeamSearch.Find(map, 160);
        (Quad Quad, double Score)? best = null;
        foreach (Quad quad in QuadSearch.Find(map, lines, Lying, null, 4000, 0.004, 0.04))
        {
            (double X, double Y)[] mm = [.. quad.At.Select(p => OnBlock(map.ToPhoto(p)))];
            if (mm.Any(p => p.X > 0 && p.Y > 0 && p.X < size.WidthMm && p.Y < size.HeightMm)) continue;
            double a = (Distance(mm[0], mm[1]) + Distance(mm[3], mm[2])) / 2, b = (Distance(mm[1], mm[2]) + Distance(mm[0], mm[3])) / 2;
            double misfit = Math.Max(Math.Abs(Math.Log(Math.Max(a, b) / ReferenceFinder.CardWidthMm)), Math.Abs(Math.Log(Math.Min(a, b) / ReferenceFinder.CardHeightMm)));
            if (misfit > MostSizeMisfit || quad.LeastSupport < 0.6) continue;
            double score = quad.MeanSupport + quad.LeastSupport - 3 * misfit;
            if (best is null || score > best.Value.Score) best = (quad, score);
        }
        if (best is null) return null;
        PhotoPoint[] rough = [.. best.Value.Quad.At.Select(map.ToPhoto)];
        bool lying = rough[0].DistanceTo(rough[1]) + rough[3].DistanceTo(rough[2]) > rough[1].DistanceTo(rough[2]) + rough[0].DistanceTo(rough[3]);
        CornerFit? fit = CornerFit.Of(photo.Bgr, rough, lying ? Lying : Upright, 1.5, 0.1, endMarginMm: 6, isStraight: true);
        if (fit is null || fit.Sides.Any(s => s is null || s.Seen < 0.6)) return null;
        return lying ? fit.Corners : [fit.Corners[3], fit.Corners[0], fit.Corners[1], fit.Corners[2]];
    }

    private static double Distance((double X, double Y) a, (double X, double Y) b) => Math.Sqrt((a.X - b.X) * (a.X - b.X) + (a.Y - b.Y) * (a.Y - b.Y));
}
