using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Reference;

/// <summary>The radial bend of a lens: seen = middle + (true - middle)·(1 + k·(r/R)²), r the true distance from the middle, R half the photo's diagonal.</summary>
/// <param name="K">Positive = pincushion, negative = barrel; no unit.</param>
/// <param name="U">Standard uncertainty of K.</param>
/// <remarks>First term of Brown's model (Close-range camera calibration, 1971) with the diagonal as the unit of length instead of the focal length.</remarks>
public sealed record LensBend(double K, double U, double MiddleX, double MiddleY, double HalfDiagonalPx)
{
    /// <summary>What is known of a lens by its kind alone: no bend, give or take.</summary>
    /// <remarks>
    /// Bounds at the photo's corner, from memory of lens tests, no source at hand: phones straighten their main and long cameras to about 1 %, wide
    /// ones (under 20 mm equivalent) to about 3 %; an unknown camera may be either and counts 2.5 %. The bound is read as the half-width of a rectangular distribution.
    /// </remarks>
    public static LensBend Prior(int widthPx, int heightPx, double? focalLength35Mm)
    {
        double bound = focalLength35Mm switch { null => 0.025, < 20 => 0.03, _ => 0.01 };
        return new LensBend(0, bound / Math.Sqrt(3), (widthPx - 1) / 2.0, (heightPx - 1) / 2.0, Math.Sqrt((double)widthPx * widthPx + (double)heightPx * heightPx) / 2);
    }

    /// <summary>From the true place (straight lines straight) to the place in the photo.</summary>
    public PhotoPoint Bend(PhotoPoint p)
    {
        double dx = p.X - MiddleX, dy = p.Y - MiddleY, f = 1 + K * (dx * dx + dy * dy) / (HalfDiagonalPx * HalfDiagonalPx);
        return new PhotoPoint(MiddleX + dx * f, MiddleY + dy * f);
    }

    /// <summary>From the place in the photo to the true place, by fixed-point steps.</summary>
    public PhotoPoint Straighten(PhotoPoint p)
    {
        double dx = p.X - MiddleX, dy = p.Y - MiddleY, x = dx, y = dy;
        for (int i = 0; i < 30; i++)
        {
            double f = 1 + K * (x * x + y * y) / (HalfDiagonalPx * HalfDiagonalPx);
            (x, y) = (dx / f, dy / f);
        }
        return new PhotoPoint(MiddleX + x, MiddleY + y);
    }

    /// <summary>Standard uncertainty of place inside the block that comes from not knowing K better, root mean square over the block, mm.</summary>
    /// <remarks>A bend of one U is put on, the block is rectified by its four bent corners, and what the corners do not take away is left.</remarks>
    public double PlaceUMm(BlockCorners corners, BlockSize size) => ResidualMm(corners, size, U);

    internal double ResidualMm(BlockCorners corners, BlockSize size, double k)
    {
        LensBend bent = this with { K = k };
        (double, double)[] mm = [.. size.Corners().Select(p => (p.Xmm, p.Ymm))];
        Homography straight = Homography.FromFourPoints(mm, [.. corners.ToArray().Select(p => (p.X, p.Y))]);
        Homography back = Homography.FromFourPoints([.. corners.ToArray().Select(p => { PhotoPoint b = bent.Bend(p); return (b.X, b.Y); })], mm);
        double sum = 0;
        const int n = 11;
        for (int i = 0; i < n; i++)
            for (int j = 0; j < n; j++)
            {
                double x = size.WidthMm * i / (n - 1), y = size.HeightMm * j / (n - 1);
                (double px, double py) = straight.Map(x, y);
                PhotoPoint b = bent.Bend(new PhotoPoint(px, py));
                (double bx, double by) = back.Map(b.X, b.Y);
                sum += (bx - x) * (bx - x) + (by - y) * (by - y);
            }
        return Math.Sqrt(sum / (n * n));
    }
}
