using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>How sides that are not straight take what lies within them along: a lens bows the lines of a block as it bows its sides, and a drawn-in side draws in the lines beside it.</summary>
/// <remarks>
/// Every side moves a place by its own outward move there, less and less to nothing at the opposite side. Bows are those of <see cref="SideReading.BowMm"/>, of parabolas; sides from the top clockwise.
/// Where all four bow the same way, as by a lens of r·(1 + k·r²) about the middle, the places between the middle and a side are moved along too: k·(a² - x²)·x and k·(b² - y²)·y from the middle, a and b half the
/// width and height. With the sides' part that is all such a lens does.
/// </remarks>
internal static class BowedSides
{
    /// <summary>The bows of sides as seen; nothing for one that was not seen, or when there are none.</summary>
    public static double[] Of(IReadOnlyList<SideReading> sides) => sides.Count == 4 ? [.. sides.Select(s => double.IsFinite(s.BowMm) ? s.BowMm : 0)] : [0, 0, 0, 0];

    /// <summary>By how much a place moves in the direction given for a millimetre of outward move of a side.</summary>
    public static double Follows(int side, BlockSize size, double xMm, double yMm, double directionX, double directionY) => side switch
    {
        0 => -directionY * (1 - yMm / size.HeightMm),
        1 => directionX * xMm / size.WidthMm,
        2 => directionY * yMm / size.HeightMm,
        _ => -directionX * (1 - xMm / size.WidthMm),
    };

    /// <summary>How far a side of this bow stands out beside a place, mm.</summary>
    public static double OutwardMm(double[] bowsMm, BlockSize size, int side, double xMm, double yMm)
    {
        double s = 2 * ((side & 1) == 0 ? xMm / size.WidthMm : yMm / size.HeightMm) - 1;
        return bowsMm[side] * (1 - s * s);
    }

    /// <summary>How far a place lies in the direction given from where straight sides would have it, mm.</summary>
    public static double AcrossMm(double[] bowsMm, BlockSize size, double xMm, double yMm, double directionX, double directionY)
    {
        double a = size.WidthMm / 2, b = size.HeightMm / 2, x = xMm - a, y = yMm - b;
        double sum = LensOf(bowsMm, size) * (directionX * (a * a - x * x) * x + directionY * (b * b - y * y) * y);
        for (int side = 0; side < 4; side++) sum += OutwardMm(bowsMm, size, side, xMm, yMm) * Follows(side, size, xMm, yMm, directionX, directionY);
        return sum;
    }

    /// <summary>The lens that all four bows have in common, barrel positive, 1/mm²; 0 where they do not bow the same way.</summary>
    private static double LensOf(double[] bowsMm, BlockSize size)
    {
        double a = size.WidthMm / 2, b = size.HeightMm / 2;
        double[] lenses = [.. bowsMm.Select((bow, side) => bow / ((side & 1) == 0 ? a * a * b : b * b * a))];
        return lenses.All(k => k > 0) ? lenses.Min() : lenses.All(k => k < 0) ? lenses.Max() : 0;
    }
}
