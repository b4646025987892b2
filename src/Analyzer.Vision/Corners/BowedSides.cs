using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>How sides that are not straight take what lies within them along: a lens bows the lines of a block as it bows its sides, and a drawn-in side draws in the lines beside it.</summary>
/// <remarks>
/// Every side moves a place by its own outward move there, less and less to nothing at the opposite side. Bows are those of <see cref="SideReading.BowMm"/>, of parabolas; sides from the top clockwise.
/// Where all sides that were found, three at least, bow the same way, as by a lens of r·(1 - k·r²) about the middle, the places between the middle and a side are moved along too: k·(a² - x²)·x and k·(b² - y²)·y from
/// the middle, a and b half the width and height. With the sides' part that is all such a lens does.
/// </remarks>
internal sealed class BowedSides
{
    private const int FewestOfALens = 3;

    private readonly BlockSize _size;

    private readonly double[] _bowsMm;

    /// <summary>The lens that the bows have in common, barrel positive, 1/mm²; 0 where they do not bow the same way.</summary>
    private readonly double _lens;

    /// <param name="bowsMm">How far the middle of each side stands out from the join of its ends, mm; not a number where that is not known, and then as if straight.</param>
    public BowedSides(BlockSize size, IReadOnlyList<double> bowsMm)
    {
        _size = size;
        _bowsMm = [.. bowsMm.Select(b => double.IsFinite(b) ? b : 0)];
        IsStraight = _bowsMm.All(b => b == 0);
        double a = size.WidthMm / 2, b = size.HeightMm / 2;
        double[] lenses = [.. bowsMm.Select((bow, side) => bow / ((side & 1) == 0 ? a * a * b : b * b * a)).Where(double.IsFinite)];
        if (lenses.Length >= FewestOfALens) _lens = lenses.All(k => k > 0) ? lenses.Min() : lenses.All(k => k < 0) ? lenses.Max() : 0;
    }

    public static BowedSides Straight(BlockSize size) => new(size, [0, 0, 0, 0]);

    /// <summary>Sides as seen; straight where there are none.</summary>
    public static BowedSides Of(BlockSize size, IReadOnlyList<SideReading> sides) => sides.Count == 4 ? new(size, [.. sides.Select(s => s.BowMm)]) : Straight(size);

    public bool IsStraight { get; }

    /// <summary>Whether they bow the same way, as a lens has it.</summary>
    public bool BowByALens => _lens != 0;

    /// <summary>By how much a place moves in the direction given for a millimetre of outward move of a side.</summary>
    public static double Follows(int side, BlockSize size, double xMm, double yMm, double directionX, double directionY) => side switch
    {
        0 => -directionY * (1 - yMm / size.HeightMm),
        1 => directionX * xMm / size.WidthMm,
        2 => directionY * yMm / size.HeightMm,
        _ => -directionX * (1 - xMm / size.WidthMm),
    };

    /// <summary>What a bow has of its height at a share of the side's length.</summary>
    public static double Height(double share) => 4 * share * (1 - share);

    /// <summary>How far a side stands out beside a place, mm.</summary>
    public double OutwardMm(int side, double xMm, double yMm) => _bowsMm[side] * Height((side & 1) == 0 ? xMm / _size.WidthMm : yMm / _size.HeightMm);

    /// <summary>How far a place lies in the direction given from where straight sides would have it, mm.</summary>
    public double AcrossMm(double xMm, double yMm, double directionX, double directionY)
    {
        if (IsStraight) return 0;
        double a = _size.WidthMm / 2, b = _size.HeightMm / 2, x = xMm - a, y = yMm - b;
        double sum = _lens * (directionX * (a * a - x * x) * x + directionY * (b * b - y * y) * y);
        for (int side = 0; side < 4; side++) sum += OutwardMm(side, xMm, yMm) * Follows(side, _size, xMm, yMm, directionX, directionY);
        return sum;
    }
}
