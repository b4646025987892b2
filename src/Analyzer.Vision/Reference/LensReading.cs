using Analyzer.Core.Geometry;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Reference;

/// <summary>What is known of the lens that took a photo: measured from the printed rule's straight rows of marks, or assumed by its kind.</summary>
public sealed record LensReading(LensBend Lens, bool IsMeasured)
{
    /// <summary>A bend this many times its own uncertainty is taken out of the photo.</summary>
    private const double Significant = 2;

    /// <summary>A row must tell the bend at least this much better than its kind alone does.</summary>
    private const double MuchBetter = 0.7;

    /// <summary>Marks of one arm, and which of their corners lie on its two straight edges.</summary>
    private static readonly (int[] Ids, int[] First, int[] Second)[] Arms = [([17, 23, 31], [0, 1], [3, 2]), ([17, 38, 44], [0, 3], [1, 2])];

    public bool IsWorthRemoving => IsMeasured && Math.Abs(Lens.K) > Significant * Lens.U;

    public static LensReading Of(Photo photo, IReadOnlyDictionary<int, PhotoPoint[]> marks)
    {
        LensBend prior = LensBend.Prior(photo.WidthPx, photo.HeightPx, photo.Metadata.FocalLength35Mm);
        List<IReadOnlyList<PhotoPoint>> rows = [.. Rows(marks)];
        if (rows.Count == 0) return new LensReading(prior, false);
        LensBend fitted = PlumbLine.Fit(rows, prior);
        return fitted.U < MuchBetter * prior.U ? new LensReading(fitted, true) : new LensReading(prior, false);
    }

    /// <summary>The outer and inner edges of the marks of one arm are two straight lines.</summary>
    private static IEnumerable<IReadOnlyList<PhotoPoint>> Rows(IReadOnlyDictionary<int, PhotoPoint[]> marks)
    {
        foreach ((int[] ids, int[] first, int[] second) in Arms)
        {
            PhotoPoint[][] seen = [.. ids.Where(marks.ContainsKey).Select(id => marks[id])];
            if (seen.Length < 3) continue;
            foreach (int[] edge in new[] { first, second })
                yield return [.. seen.SelectMany(m => edge.Select(k => m[k]))];
        }
    }

    /// <summary>The photo without the lens's bend; its pixels lie where <see cref="LensBend.Straighten"/> puts them.</summary>
    public static Photo Straighten(Photo photo, LensBend lens)
    {
        using Mat mapX = new(photo.HeightPx, photo.WidthPx, MatType.CV_32FC1), mapY = new(photo.HeightPx, photo.WidthPx, MatType.CV_32FC1);
        Fill(mapX, mapY, lens);
        var straight = new Mat();
        Cv2.Remap(photo.Bgr, straight, mapX, mapY, InterpolationFlags.Cubic, BorderTypes.Replicate);
        return new Photo(straight, photo.FileName, photo.Sha256, photo.Metadata);
    }

    private static unsafe void Fill(Mat mapX, Mat mapY, LensBend lens)
    {
        int wide = mapX.Cols;
        Parallel.For(0, mapX.Rows, y =>
        {
            var x = (float*)mapX.Ptr(y);
            var v = (float*)mapY.Ptr(y);
            for (int i = 0; i < wide; i++)
            {
                PhotoPoint p = lens.Bend(new PhotoPoint(i, y));
                (x[i], v[i]) = ((float)p.X, (float)p.Y);
            }
        });
    }
}
