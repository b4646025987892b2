using Analyzer.Core.Pattern;
using Analyzer.Core.Units;

namespace Analyzer.Web.Blocks;

/// <summary>Size and grid as chosen on the page, with the intended grid they make.</summary>
internal sealed record BlockChoice(string SizeText, string GridText, IntendedGrid Grid)
{
    /// <summary>Finer lines than this no one quilts, mm.</summary>
    private const double SmallestSpacingMm = 3;

    /// <summary>Reads "8in" or "8in x 6in" and "triangle:1in"; throws <see cref="FormatException"/> with one sentence.</summary>
    public static BlockChoice Parse(string? sizeText, string? gridText)
    {
        if (sizeText is not { Length: > 0 and < 60 } || gridText is not { Length: > 0 and < 60 })
            throw new FormatException("Choose the finished size of the block and its pattern.");
        string[] sides = sizeText.Split('x', StringSplitOptions.TrimEntries);
        if (sides.Length > 2 || !Length.TryParse(sides[0], out Length width) || !Length.TryParse(sides[^1], out Length height))
            throw new FormatException("The size of the block is not a number with a unit; write for instance 8 and choose inches.");
        string[] parts = gridText.Split(':', StringSplitOptions.TrimEntries);
        if (parts.Length != 2 || !Length.TryParse(parts[1], out Length spacing))
            throw new FormatException("The spacing of the lines is not a number with a unit; write for instance 1 and choose inches.");
        if (!IsSide(width) || !IsSide(height))
            throw new FormatException($"A side of the block lies between {BlockSize.SmallestMm:0} mm and {BlockSize.LargestMm:0} mm (about 3/4 in to 59 in).");
        var size = new BlockSize(width.Millimetres, height.Millimetres);
        if (!(spacing.Millimetres >= SmallestSpacingMm && spacing.Millimetres <= Math.Max(size.WidthMm, size.HeightMm)))
            throw new FormatException($"The lines lie at least {SmallestSpacingMm:0} mm apart and not farther than the block is large.");
        IReadOnlyList<LineFamily> families = NamedGrids.Families(parts[0], spacing, size)
            ?? throw new FormatException("This pattern is not known; choose one of those on the page.");
        try
        {
            return new BlockChoice(sizeText, gridText, new IntendedGrid(size, families));
        }
        catch (ArgumentException trouble)
        {
            throw new FormatException(trouble.Message.Split(" (Parameter")[0], trouble);
        }
    }

    private static bool IsSide(Length side) => side.Millimetres >= BlockSize.SmallestMm && side.Millimetres <= BlockSize.LargestMm;
}
