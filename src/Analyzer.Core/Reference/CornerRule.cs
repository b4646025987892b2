using Analyzer.Core.Geometry;

namespace Analyzer.Core.Reference;

/// <summary>A square mark of the printed corner rule.</summary>
/// <param name="Id">Number of the mark in the dictionary.</param>
/// <param name="CentreXmm">Centre right of the rule's outer corner, mm.</param>
/// <param name="CentreYmm">Centre below the rule's outer corner, mm.</param>
public sealed record RuleMark(int Id, double CentreXmm, double CentreYmm)
{
    /// <summary>Top-left, top-right, bottom-right, bottom-left, mm.</summary>
    public BlockPoint[] Corners()
    {
        const double h = CornerRule.MarkSideMm / 2;
        return [new(CentreXmm - h, CentreYmm - h), new(CentreXmm + h, CentreYmm - h), new(CentreXmm + h, CentreYmm + h), new(CentreXmm - h, CentreYmm + h)];
    }
}

/// <summary>Our reference sheet: an L-shaped paper rule that lies round one corner of the block and tells the photo's scale in both directions.</summary>
/// <remarks>
/// Frame: mm, origin at the outer corner of the L, x right, y down. Both arms fit on A4 (210 x 297 mm) and US Letter (215.9 x 279.4 mm) alike
/// with 10 mm to spare. Marks come from the dictionary of 50 marks of 4 x 4 cells (ArUco; least Hamming distance 4).
/// </remarks>
public static class CornerRule
{
    /// <summary>Black square of a mark, mm; six cells of 3 mm with its rim.</summary>
    public const double MarkSideMm = 18;

    public const double ArmWidthMm = 26;

    /// <summary>Outer length of the arm that runs right, and of the arm that runs down, mm.</summary>
    public const double RightArmMm = 186, DownArmMm = 256;

    /// <summary>Length of the check bars, mm: 100 mm, and 6 inches.</summary>
    public const double BarMm = 100, InchBarMm = 152.4;

    public static IReadOnlyList<RuleMark> Marks { get; } =
    [
        new(17, 13, 13), new(23, 93, 13), new(31, 173, 13), new(38, 13, 128), new(44, 13, 243),
    ];
}
