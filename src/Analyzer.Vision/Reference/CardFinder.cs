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

    /// <summary>A card's proportions, opposite sides and diagonals may differ from a true card's by this share.</summary>
    private const double MostShapeMisfit = 0.035;

    /// <summary>The best places are looked at closely, one after the other; places nearer to each other than this are one, px.</summary>
    private const int MostTried = 40;
    private const double SamePx = 8;

    /// <summary>Seams that are put together, and the share of the photo's width and height that a quarter is looked at with.</summary>
    private const int MostLines = 160;
    private const double PartShare = 0.6;

    /// <summary>A lined mat makes thousands of shapes like a card.</summary>
    private const int MostQuads = 100_000;

    /// <summary>Places looked at along a side, how far beside it as a share of the way to the middle, and the least change of colour, grey levels summed over three channels.</summary>
    private const int Looks = 15;
    private const double BesideShare = 0.15, LeastStep = 30;

    /// <summary>Corners where the card's straight sides meet (its own corners are round), in the order long top side first, px; or null.</summary>
    public static PhotoPoint[]? Find(Photo photo, BlockCorners block, BlockSize size)
    {
        Homography blockFromPhoto = Homography.FromFourPoints([.. block.ToArray().Select(p => (p.X, p.Y))], [.. size.Corners().Select(p => (p.Xmm, p.Ymm))]);
        (double X, double Y)[] OnBlock(PhotoPoint[] at) => [.. at.Select(p => blockFromPhoto.Map(p.X, p.Y))];
        var tried = new List<PhotoPoint[]>();
        foreach ((PhotoPoint[] rough, _) in Parts(photo).SelectMany(part => Places(EvidenceMap.Of(photo, part), OnBlock, size)).OrderByDescending(p => p.Score))
        {
            // The cells of a lined mat do not count among the places tried.
            if (tried.Any(t => t.Zip(rough).Max(pair => pair.First.DistanceTo(pair.Second)) < SamePx) || !StandsOut(photo, rough)) continue;
            if (tried.Count == MostTried) break;
            tried.Add(rough);
            if (Fitted(photo, rough) is { } card && IsCardShaped(OnBlock(card))) return card;
        }
        return null;
    }

    /// <summary>The whole photo, and its four quarters with what lies round them: there a card's short sides are not outnumbered by longer lines.</summary>
    private static IEnumerable<OpenCvSharp.Rect?> Parts(Photo photo)
    {
        int w = (int)(PartShare * photo.WidthPx), h = (int)(PartShare * photo.HeightPx);
        return [null, .. from y in (int[])[0, photo.HeightPx - h] from x in (int[])[0, photo.WidthPx - w] select (OpenCvSharp.Rect?)new OpenCvSharp.Rect(x, y, w, h)];
    }

    /// <summary>Four-sided shapes of about a card's size outside the block, and how much speaks for each.</summary>
    private static List<(PhotoPoint[] At, double Score)> Places(EvidenceMap map, Func<PhotoPoint[], (double X, double Y)[]> onBlock, BlockSize size)
    {
        var places = new List<(PhotoPoint[] At, double Score)>();
        foreach (Quad quad in QuadSearch.Find(map, SeamSearch.Find(map, MostLines), Lying, null, MostQuads, 0.004, 0.04))
        {
            PhotoPoint[] at = [.. quad.At.Select(map.ToPhoto)];
            (double X, double Y)[] mm = onBlock(at);
            if (mm.Any(p => p.X > 0 && p.Y > 0 && p.X < size.WidthMm && p.Y < size.HeightMm)) continue;
            double misfit = SizeMisfit(mm);
            if (misfit <= MostSizeMisfit && quad.LeastSupport >= 0.6) places.Add((at, quad.MeanSupport + quad.LeastSupport - 3 * misfit));
        }
        return places;
    }

    /// <summary>By how much the longer or the shorter sides differ from a card's, as a logarithm; places in the block's plane, mm.</summary>
    private static double SizeMisfit((double X, double Y)[] mm)
    {
        double a = (Distance(mm[0], mm[1]) + Distance(mm[3], mm[2])) / 2, b = (Distance(mm[1], mm[2]) + Distance(mm[0], mm[3])) / 2;
        return Math.Max(Math.Abs(Math.Log(Math.Max(a, b) / ReferenceFinder.CardWidthMm)), Math.Abs(Math.Log(Math.Min(a, b) / ReferenceFinder.CardHeightMm)));
    }

    /// <summary>The place with its sides drawn to what is seen; null where a side does not show.</summary>
    private static PhotoPoint[]? Fitted(Photo photo, PhotoPoint[] rough)
    {
        bool lying = rough[0].DistanceTo(rough[1]) + rough[3].DistanceTo(rough[2]) > rough[1].DistanceTo(rough[2]) + rough[0].DistanceTo(rough[3]);
        CornerFit? fit = CornerFit.Of(photo.Bgr, rough, lying ? Lying : Upright, 1.5, 0.1, endMarginMm: 6, isStraight: true);
        if (fit is null || fit.Sides.Any(s => s is null || s.Seen < 0.6)) return null;
        return lying ? fit.Corners : [fit.Corners[3], fit.Corners[0], fit.Corners[1], fit.Corners[2]];
    }

    /// <summary>Whether it has a card's proportions and right angles as well as a block's plane can tell them, which may itself be stretched or out of square by a few parts in a hundred. Long top side first, mm.</summary>
    private static bool IsCardShaped((double X, double Y)[] mm)
    {
        double top = Distance(mm[0], mm[1]), right = Distance(mm[1], mm[2]), bottom = Distance(mm[2], mm[3]), left = Distance(mm[3], mm[0]);
        double shape = Math.Log((top + bottom) / (left + right) * ReferenceFinder.CardHeightMm / ReferenceFinder.CardWidthMm);
        double falling = Distance(mm[0], mm[2]), rising = Distance(mm[1], mm[3]);
        return SizeMisfit(mm) < MostSizeMisfit && new[] { shape, Math.Log(top / bottom), Math.Log(left / right), Math.Log(falling / rising) }.All(off => Math.Abs(off) < MostShapeMisfit);
    }

    /// <summary>Whether most of every side but one has another colour within than without, as a card on a table has and a cell of a cutting mat has not.</summary>
    private static bool StandsOut(Photo photo, PhotoPoint[] at)
    {
        double cx = at.Average(p => p.X), cy = at.Average(p => p.Y);
        int sides = 0;
        for (int k = 0; k < 4; k++)
        {
            PhotoPoint a = at[k], b = at[(k + 1) & 3];
            var steps = new List<double>();
            for (int i = 1; i <= Looks; i++)
            {
                double t = i / (Looks + 1.0), x = a.X + t * (b.X - a.X), y = a.Y + t * (b.Y - a.Y);
                if (Colour(photo, x + BesideShare * (cx - x), y + BesideShare * (cy - y)) is not { } inside || Colour(photo, x - BesideShare * (cx - x), y - BesideShare * (cy - y)) is not { } outside) continue;
                steps.Add(Math.Abs(inside.B - outside.B) + Math.Abs(inside.G - outside.G) + Math.Abs(inside.R - outside.R));
            }
            steps.Sort();
            if (steps.Count > Looks / 2 && steps[steps.Count / 2] > LeastStep) sides++;
        }
        return sides >= 3;
    }

    private static (double B, double G, double R)? Colour(Photo photo, double x, double y)
    {
        int px = (int)Math.Round(x), py = (int)Math.Round(y);
        if (px < 0 || py < 0 || px >= photo.WidthPx || py >= photo.HeightPx) return null;
        OpenCvSharp.Vec3b v = photo.Bgr.At<OpenCvSharp.Vec3b>(py, px);
        return (v.Item0, v.Item1, v.Item2);
    }

    private static double Distance((double X, double Y) a, (double X, double Y) b) => Math.Sqrt((a.X - b.X) * (a.X - b.X) + (a.Y - b.Y) * (a.Y - b.Y));
}
