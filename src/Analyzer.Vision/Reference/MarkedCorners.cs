using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Reference;
using OpenCvSharp;

namespace Analyzer.Vision.Reference;

/// <summary>The block's corners by the marks that its template prints outside them, in the block's own order.</summary>
public static class MarkedCorners
{
    private const int FewestMarks = 3;

    /// <summary>Marks that do not lie where the template has them (r.m.s., mm) belong to something else.</summary>
    private const double MostMisfitMm = 1.5;

    /// <summary>Null when fewer than three marks are seen, or when they do not fit a block of this size.</summary>
    public static BlockCorners? Of(IReadOnlyDictionary<int, PhotoPoint[]> marks, BlockSize size)
    {
        var mm = new List<Point2d>();
        var px = new List<Point2d>();
        for (int id = 0; id < BlockMarks.Count; id++)
        {
            if (!marks.TryGetValue(id, out PhotoPoint[]? seen)) continue;
            mm.AddRange(BlockMarks.Corners(id, size).Select(p => new Point2d(p.Xmm, p.Ymm)));
            px.AddRange(seen.Select(p => new Point2d(p.X, p.Y)));
        }
        if (mm.Count < 4 * FewestMarks) return null;
        using Mat fitted = Cv2.FindHomography(mm, px);
        if (fitted.Empty()) return null;
        var photoFromBlock = new Homography([.. Enumerable.Range(0, 9).Select(i => fitted.At<double>(i / 3, i % 3))]);
        double square = 0;
        for (int i = 0; i < mm.Count; i++)
        {
            (double x, double y) = photoFromBlock.Map(mm[i].X, mm[i].Y);
            square += ((x - px[i].X) * (x - px[i].X)) + ((y - px[i].Y) * (y - px[i].Y));
        }
        double rms = Math.Sqrt(square / mm.Count);
        PhotoPoint[] corners = [.. size.Corners().Select(p => { (double x, double y) = photoFromBlock.Map(p.Xmm, p.Ymm); return new PhotoPoint(x, y); })];
        double scale = (corners[0].DistanceTo(corners[1]) + corners[1].DistanceTo(corners[2])) / (size.WidthMm + size.HeightMm);
        return rms > MostMisfitMm * scale ? null : BlockCorners.FromArray(corners, Math.Max(0.3, rms));
    }
}
