using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Web.Plans;

namespace Analyzer.Web.Blocks;

/// <summary>Size and grid as chosen on the page, with the intended grid they make.</summary>
/// <param name="Plan">The plan it was chosen by, or null.</param>
internal sealed record BlockChoice(string SizeText, string GridText, IntendedGrid Grid, KeptPlan? Plan = null)
{
    /// <summary>Finer lines than this no one quilts, mm.</summary>
    public const double SmallestSpacingMm = 3;

    private const int LongestText = 600;

    /// <summary>Whether lengths are shown in inches: the plan's unit, else the one the size was given in.</summary>
    public bool Inches => Plan?.Plan.Inches ?? SizeText.Contains("in", StringComparison.Ordinal);

    /// <summary>Line ids in the order of sewing, where a plan tells it.</summary>
    public IReadOnlyList<string>? Order => Plan?.Plan.LineOrder is { Count: > 0 } order ? order : null;

    /// <summary>Reads "8in" or "8in x 6in", and "triangle:1in", "plan:ID" of a kept plan, or "lines:60deg 1in 0in,8in; 0deg 1in 0in,0in".
    /// Throws <see cref="FormatException"/> with one sentence.</summary>
    public static BlockChoice Parse(string? sizeText, string? gridText, PlanShelf? plans = null)
    {
        if (sizeText is not { Length: > 0 and < 60 } || gridText is not { Length: > 0 and < LongestText })
            throw new FormatException("Choose the finished size of the block and its pattern.");
        string[] parts = gridText.Split(':', 2, StringSplitOptions.TrimEntries);
        if (parts is ["plan", var id])
        {
            KeptPlan plan = plans?.Find(id) ?? throw new FormatException("The plan is no longer on the bench; make it again on the plan page, or choose a pattern.");
            return new BlockChoice(plan.SizeText, gridText, plan.Plan.Grid, plan);
        }
        BlockSize size = Size(sizeText);
        IReadOnlyList<LineFamily> families = parts is ["lines", var own] ? OwnLines(own, size) : Named(parts, size);
        try
        {
            return new BlockChoice(sizeText, gridText, new IntendedGrid(size, families));
        }
        catch (ArgumentException trouble)
        {
            throw new FormatException(trouble.Message.Split(" (Parameter")[0], trouble);
        }
    }

    public static BlockSize Size(string sizeText)
    {
        string[] sides = sizeText.Split('x', StringSplitOptions.TrimEntries);
        if (sides.Length > 2 || !Length.TryParse(sides[0], out Length width) || !Length.TryParse(sides[^1], out Length height))
            throw new FormatException("The size of the block is not a number with a unit; write for instance 8 and choose inches.");
        if (!IsSide(width) || !IsSide(height))
            throw new FormatException($"A side of the block lies between {BlockSize.SmallestMm:0} mm and {BlockSize.LargestMm:0} mm (about 3/4 in to 59 in).");
        return new BlockSize(width.Millimetres, height.Millimetres);
    }

    private static IReadOnlyList<LineFamily> Named(string[] parts, BlockSize size)
    {
        if (parts.Length != 2 || !Length.TryParse(parts[1], out Length spacing))
            throw new FormatException("The spacing of the lines is not a number with a unit; write for instance 1 and choose inches.");
        CheckSpacing(spacing, size);
        return NamedGrids.Families(parts[0], spacing, size) ?? throw new FormatException("This pattern is not known; choose one of those on the page.");
    }

    /// <summary>One family after the other, between semicolons: angle, spacing, a point that one line passes through.</summary>
    private static List<LineFamily> OwnLines(string text, BlockSize size)
    {
        var families = new List<LineFamily>();
        foreach (string one in text.Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            string[] words = one.Split(' ', StringSplitOptions.RemoveEmptyEntries);
            if (words.Length == 4) words = [words[0], words[1] + " " + words[2], words[3]];
            string[] point = words.Length == 3 ? words[2].Split(',') : [];
            if (point.Length != 2 || !words[0].EndsWith("deg", StringComparison.OrdinalIgnoreCase)
                || !double.TryParse(words[0][..^3], NumberStyles.Float, CultureInfo.InvariantCulture, out double angle) || !(Math.Abs(angle) <= 180)
                || !Length.TryParse(words[1], out Length spacing) || !Length.TryParse(point[0], out Length x) || !Length.TryParse(point[1], out Length y))
                throw new FormatException($"\"{(one.Length > 40 ? one[..40] + "…" : one)}\" should be an angle, a spacing and a point of one line, such as 60deg 1in 0in,8in.");
            CheckSpacing(spacing, size);
            if (Math.Abs(x.Millimetres) > 10 * BlockSize.LargestMm || Math.Abs(y.Millimetres) > 10 * BlockSize.LargestMm)
                throw new FormatException("The point of a line lies far away from the block; give one on or near it.");
            families.Add(new LineFamily(angle, spacing.Millimetres, new BlockPoint(x.Millimetres, y.Millimetres)));
        }
        return families.Count is >= 1 and <= 6 ? families : throw new FormatException("Give one to six families of lines, each in a row of its own.");
    }

    private static void CheckSpacing(Length spacing, BlockSize size)
    {
        if (!(spacing.Millimetres >= SmallestSpacingMm && spacing.Millimetres <= Math.Max(size.WidthMm, size.HeightMm)))
            throw new FormatException($"The lines lie at least {SmallestSpacingMm:0} mm apart and not farther than the block is large.");
    }

    private static bool IsSide(Length side) => side.Millimetres >= BlockSize.SmallestMm && side.Millimetres <= BlockSize.LargestMm;
}
