using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Simulation;

namespace Analyzer.Practice.Tests;

/// <summary>Invented blocks the tests share.</summary>
internal static class TestBlocks
{
    public static IntendedGrid Grid(string name = "square", double inches = 1, double sideMm = 203.2)
    {
        var size = new BlockSize(sideMm, sideMm);
        return new IntendedGrid(size, NamedGrids.Families(name, Length.FromInches(inches), size)!);
    }

    public static AccuracyReport Report(Skill skill, int seed, string grid = "square", double inches = 1, double sideMm = 203.2) =>
        InventedBlock.Make(Grid(grid, inches, sideMm), skill, seed);

    public static ComparedBlock Block(Skill skill, int seed, string grid = "square", double inches = 1, double sideMm = 203.2) =>
        new(Report(skill, seed, grid, inches, sideMm), $"block {seed}", BlockComparer.DefaultToleranceMm);

    public static Skill Steady { get; } = new() { DistortionMm = 0.02, CornerUMm = 0.02, ClaimLogSd = 0, LostLines = 0 };
}
