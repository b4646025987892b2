using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Planning;

namespace Analyzer.Cli.Shell;

/// <summary>The options that say what was meant to be stitched, shared by every command that needs to know.</summary>
internal static class GridOptions
{
    /// <summary>Smallest line spacing that is accepted, mm. Lines nearer than this cannot be told apart in a photo.</summary>
    public const double SmallestSpacingMm = 2;

    private const long LargestPlanBytes = 20_000_000;

    /// <summary>Options with a value, to be handed to <see cref="Arguments.Parse"/>.</summary>
    public static readonly string[] Names = ["--size", "--grid", "--lines", "--plan"];

    /// <summary>Lines for a command's help text.</summary>
    public const string Help = """
          --size SIZE        finished size of the block: 8in, "8in x 6in" or "203.2mm x 152.4mm"
          --grid NAME:SPACE  the pattern and the distance between its lines: square:1in, diamond:1in,
                             diamond60:20mm, triangle:1in (three families, 60 degrees),
                             triangle45:1in (diagonals and horizontals through every X)
          --lines "A S X,Y"  instead of --grid, once for each family of parallel lines: angle, spacing,
                             and a point one line passes through, from the top left corner
                             ("60deg 25.4mm 0mm,203.2mm")
          --plan FILE        a plan.json written by the plan command, in place of the three above
        """;

    /// <summary>The finished size: "8in", "8in x 6in", "203.2mm x 152.4mm".</summary>
    public static BlockSize ParseSize(string text)
    {
        string[] parts = text.Split(['x', 'X', '×'], StringSplitOptions.TrimEntries);
        if (parts.Length is < 1 or > 2)
            throw new UserErrorException($"--size \"{text}\" should be one length or two: 8in, or \"8in x 6in\".");
        double width = Side(parts[0], text);
        double height = parts.Length == 2 ? Side(parts[1], text) : width;
        return new BlockSize(width, height);
    }

    /// <summary>The whole intended grid from --size with --grid or --lines, or from --plan.</summary>
    public static IntendedGrid Parse(Arguments arguments)
    {
        if (ReadPlan(arguments) is { } plan) return plan.Grid;
        string size = arguments.Value("--size")
            ?? throw new UserErrorException("--size is missing: give the finished size of the block, such as --size 8in.");
        return Parse(arguments, ParseSize(size));
    }

    /// <summary>For --grid unknown: the block's size with a pattern that only holds its place.</summary>
    public static IntendedGrid UnknownGrid(Arguments arguments)
    {
        if (arguments.Values("--lines").Count > 0) throw new UserErrorException("--grid and --lines both describe the pattern; give only one of them.");
        if (arguments.Value("--plan") is not null) throw new UserErrorException("--plan already holds the size and the pattern; leave out --size, --grid and --lines.");
        BlockSize size = ParseSize(arguments.Value("--size") ?? throw new UserErrorException("--size is missing: give the finished size of the block, such as --size 8in."));
        return Pipeline.BlockAnalyzer.SizeOnly(size);
    }

    /// <summary>The plan that --plan names, or null when it is not given.</summary>
    public static StitchPlan? ReadPlan(Arguments arguments)
    {
        if (arguments.Value("--plan") is not { } path) return null;
        if (arguments.Value("--size") is not null || arguments.Value("--grid") is not null || arguments.Values("--lines").Count > 0)
            throw new UserErrorException("--plan already holds the size and the pattern; leave out --size, --grid and --lines.");
        try
        {
            if (new FileInfo(path) is { Exists: true, Length: > LargestPlanBytes })
                throw new UserErrorException($"--plan {path}: the file is far too large to be a plan; give the plan.json that the plan command wrote.");
            return PlanFile.Read(File.ReadAllText(path));
        }
        catch (FormatException trouble)
        {
            throw new UserErrorException($"--plan {path}: {trouble.Message}", inner: trouble);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new UserErrorException($"--plan {path}: the file cannot be read; check its name and folder.", inner: trouble);
        }
    }

    /// <summary>The intended grid on a block of known size from --grid or --lines.</summary>
    public static IntendedGrid Parse(Arguments arguments, BlockSize size)
    {
        string? grid = arguments.Value("--grid");
        List<string> lines = arguments.Values("--lines");
        if (grid is not null && lines.Count > 0)
            throw new UserErrorException("--grid and --lines both describe the pattern; give only one of them.");
        if (grid is null && lines.Count == 0)
            throw new UserErrorException("The pattern is missing: give --grid, such as --grid triangle:1in, or --lines once for each family.");
        IReadOnlyList<LineFamily> families = grid is not null ? ParseGrid(grid, size) : [.. lines.Select(line => ParseLines(line, size))];
        try
        {
            return new IntendedGrid(size, families);
        }
        catch (ArgumentException trouble)
        {
            throw new UserErrorException($"{(grid is null ? "--lines" : "--grid")}: {FirstSentence(trouble)}", inner: trouble);
        }
    }

    /// <summary>"triangle:1in" split into its name and spacing; the name is one of <see cref="NamedGrids"/>.</summary>
    public static (string Name, Length Spacing) ParseGridName(string text)
    {
        string[] parts = text.Split(':', StringSplitOptions.TrimEntries);
        if (parts.Length != 2)
            throw new UserErrorException($"--grid \"{text}\" should be a pattern and a spacing, such as triangle:1in.");
        Length spacing = Spacing(parts[1], $"--grid \"{text}\"");
        if (NamedGrids.Families(parts[0], Length.FromMillimetres(50), new BlockSize(200, 200)) is null)
            throw new UserErrorException($"--grid \"{text}\": there is no pattern \"{parts[0]}\"; the patterns are {PatternNames()}.");
        return (parts[0].ToLowerInvariant(), spacing);
    }

    /// <summary>The families of "triangle:1in" on a block of the given size.</summary>
    public static IReadOnlyList<LineFamily> ParseGrid(string text, BlockSize size)
    {
        (string name, Length spacing) = ParseGridName(text);
        CheckAgainstBlock(spacing.Millimetres, size, $"--grid \"{text}\"");
        try
        {
            return NamedGrids.Families(name, spacing, size)!;
        }
        catch (ArgumentOutOfRangeException trouble)
        {
            // Some patterns space one of their families more narrowly or widely than the spacing that is named.
            throw new UserErrorException($"--grid \"{text}\": some lines of this pattern would lie less than {SmallestSpacingMm:0} mm or more than {BlockSize.LargestMm:0} mm apart; choose another spacing.", inner: trouble);
        }
    }

    /// <summary>One family: "60deg 25.4mm 0mm,203.2mm".</summary>
    public static LineFamily ParseLines(string text, BlockSize size)
    {
        string where = $"--lines \"{text}\"";
        // A space between a number and its unit, or after the comma, is forgiven.
        string tidy = System.Text.RegularExpressions.Regex.Replace(text.Trim(), @"\s*,\s*", ",");
        tidy = System.Text.RegularExpressions.Regex.Replace(tidy, @"(?<=[\d.])\s+(?=(mm|cm|in|deg)\b)", "");
        string[] parts = tidy.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        // A spacing may have a blank of its own: "45deg 1 1/2in 0mm,0mm".
        if (parts.Length == 4) parts = [parts[0], parts[1] + " " + parts[2], parts[3]];
        if (parts.Length != 3)
            throw new UserErrorException($"{where} should be an angle, a spacing and a point, such as \"60deg 25.4mm 0mm,203.2mm\".");
        double angleDeg = Angle(parts[0], where);
        double spacingMm = Spacing(parts[1], where).Millimetres;
        CheckAgainstBlock(spacingMm, size, where);
        string[] point = parts[2].Split(',');
        if (point.Length != 2 || !Length.TryParse(point[0], out Length x) || !Length.TryParse(point[1], out Length y))
            throw new UserErrorException($"{where}: the point \"{parts[2]}\" should be two lengths with their units, such as 0mm,203.2mm.");
        if (Math.Abs(x.Millimetres) > 10 * BlockSize.LargestMm || Math.Abs(y.Millimetres) > 10 * BlockSize.LargestMm)
            throw new UserErrorException($"{where}: the point \"{parts[2]}\" lies far away from the block; give a point on or near it.");
        return new LineFamily(angleDeg, spacingMm, new BlockPoint(x.Millimetres, y.Millimetres));
    }

    private static double Side(string text, string whole)
    {
        if (!Length.TryParse(text, out Length side))
            throw new UserErrorException($"--size \"{whole}\": \"{text}\" is not a length; give a number with mm, cm or in, such as 8in.");
        if (!(side.Millimetres >= BlockSize.SmallestMm && side.Millimetres <= BlockSize.LargestMm))
            throw new UserErrorException($"--size \"{whole}\": a block side lies between {BlockSize.SmallestMm:0} mm and {BlockSize.LargestMm:0} mm (about 3/4 in to 59 in).");
        return side.Millimetres;
    }

    private static double Angle(string text, string where)
    {
        string number = text.EndsWith("deg", StringComparison.OrdinalIgnoreCase) ? text[..^3] : text.EndsWith('°') ? text[..^1] : "";
        if (!double.TryParse(number, NumberStyles.Float, CultureInfo.InvariantCulture, out double angle) || !double.IsFinite(angle))
            throw new UserErrorException($"{where}: \"{text}\" is not an angle; give degrees, such as 60deg.");
        if (Math.Abs(angle) > 180)
            throw new UserErrorException($"{where}: the angle {text} should lie between -180deg and 180deg.");
        return angle;
    }

    private static Length Spacing(string text, string where)
    {
        if (!Length.TryParse(text, out Length spacing))
            throw new UserErrorException($"{where}: \"{text}\" is not a spacing; give a number with mm, cm or in, such as 1in.");
        if (!(spacing.Millimetres >= SmallestSpacingMm))
            throw new UserErrorException($"{where}: a spacing of {text} is too small; lines lie at least {SmallestSpacingMm:0} mm apart.");
        return spacing;
    }

    private static void CheckAgainstBlock(double spacingMm, BlockSize size, string where)
    {
        if (spacingMm > Math.Max(size.WidthMm, size.HeightMm))
            throw new UserErrorException($"{where}: the spacing is larger than the block itself; choose a smaller one.");
    }

    private static string PatternNames() => string.Join(", ", NamedGrids.All.Select(g => g.Name)) + ", diamond60 and the like (10 to 80 degrees)";

    private static string FirstSentence(ArgumentException trouble)
    {
        int parameter = trouble.Message.IndexOf(" (Parameter", StringComparison.Ordinal);
        return parameter < 0 ? trouble.Message : trouble.Message[..parameter];
    }
}
