using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Causes;

/// <summary>Smooth displacement of the whole block that leaves the four corners where they are: cloth drawn in, bulged or sewn out of square inside.</summary>
/// <remarks>
/// All polynomials up to the third degree in X, Y = -1..1 that vanish at the four corners: (1-X²), (1-Y²), and these times X or Y; for each of the
/// two directions. That is every cubic field less the eight that four exact corners pin (20 - 8 = 12).
/// </remarks>
internal static class DistortionField
{
    public const int TermCount = 12;

    /// <summary>Displacement across a family at a point, one value per term, mm per mm.</summary>
    public static double[] Across(BlockSize size, LineFamily family, BlockPoint p)
    {
        double x = 2 * p.Xmm / size.WidthMm - 1, y = 2 * p.Ymm / size.HeightMm - 1, bx = 1 - x * x, by = 1 - y * y;
        double[] f = [bx, by, bx * x, bx * y, by * x, by * y];
        var across = new double[TermCount];
        for (int t = 0; t < TermCount; t++) across[t] = f[t / 2] * (t % 2 == 0 ? family.AcrossX : family.AcrossY);
        return across;
    }
}
