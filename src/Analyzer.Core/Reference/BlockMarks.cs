using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Reference;

/// <summary>The square marks that a template may carry outside the block's corners: numbers 0 to 3 from the top left clockwise.</summary>
/// <remarks>Dictionary of 50 marks of 4 x 4 cells (ArUco). Each mark's near corner lies <see cref="GapMm"/> from the block's corner in both directions.</remarks>
public static class BlockMarks
{
    /// <summary>Side of the black square, and its distance from the block's corner in both directions, mm.</summary>
    public const double SideMm = 12, GapMm = 4;

    public const int Count = 4;

    /// <summary>Top-left, top-right, bottom-right, bottom-left of a mark in the block's frame, mm.</summary>
    public static BlockPoint[] Corners(int id, BlockSize size)
    {
        bool right = id is 1 or 2, low = id is 2 or 3;
        double x = right ? size.WidthMm + GapMm : -GapMm - SideMm, y = low ? size.HeightMm + GapMm : -GapMm - SideMm;
        return [new(x, y), new(x + SideMm, y), new(x + SideMm, y + SideMm), new(x, y + SideMm)];
    }
}
