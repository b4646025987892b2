using System.Globalization;
using Analyzer.Cli.Shell;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Planning;
using Analyzer.Planning.Amounts;
using Analyzer.Planning.Grids;
using Analyzer.Planning.Paper;
using Analyzer.Planning.Route;

namespace Analyzer.Cli.Commands;

/// <summary>The plan command's options, read and checked.</summary>
internal static class PlanOptions
{
    public static readonly string[] WithValue =
    [
        .. GridOptions.Names, "--out", "--fit-number", "--order", "--start", "--stitch-length", "--stitches-per-inch", "--thickness", "--rate", "--pace", "--pace-of", "--log",
        "--paper", "--line-weight", "--units", "--bar-measures", "--inch-bar-measures", "--report", "--wobble", "--crossing-error", "--distance", "--spacings",
    ];

    public static readonly string[] Flags = ["--fit", "--middle-lines", "--upright-middle-lines", "--no-middle-lines", "--landscape", "--corner-marks"];

    /// <summary>The grid to plan, what to call it, and sentences on how it fits.</summary>
    public static (IntendedGrid Grid, string Name, List<string> Notes) Grid(Arguments a, bool inches)
    {
        var notes = new List<string>();
        bool fit = a.Has("--fit") || a.Value("--fit-number") is not null;
        if (GridOptions.ReadPlan(a) is { } plan)
        {
            if (fit) throw new UserErrorException("--fit needs --grid; a plan's grid is taken as it is.");
            return (Derived(a, plan.Grid), plan.GridName, notes);
        }
        IntendedGrid grid = GridOptions.Parse(a);
        string? named = a.Value("--grid");
        if (named is null)
        {
            if (fit) throw new UserErrorException("--fit needs --grid; with --lines the spacing is yours.");
            return (Derived(a, grid), "", notes);
        }
        (string pattern, Length spacing) = GridOptions.ParseGridName(named);
        FitResult result = GridFit.Offers(pattern, spacing.Millimetres, grid.Size);
        string name = named.Trim();
        int taken = 0;
        if (fit && !result.WishCloses)
        {
            if (result.Offers.Count == 0) throw new UserErrorException($"--fit: no spacing near {spacing} closes on this block; choose a smaller one.");
            taken = Whole(a, "--fit-number", 1, result.Offers.Count, 1);
            FittedGrid chosen = result.Offers[taken - 1];
            grid = new IntendedGrid(grid.Size, chosen.Families);
            name += ", fitted";
        }
        notes.AddRange(PlanText.FitNotes(result, new Planning.Words.LengthWords(inches), taken));
        return (Derived(a, grid), name, notes);
    }

    public static bool Inches(Arguments a) => a.Value("--units") switch
    {
        "in" => true,
        "mm" => false,
        null => !(a.Value("--size") ?? a.Value("--grid") ?? "in").Contains('m', StringComparison.OrdinalIgnoreCase),
        string other => throw new UserErrorException($"--units \"{other}\" should be in or mm."),
    };

    public static PlanSettings Settings(Arguments a, string gridName, bool inches)
    {
        var thread = new ThreadAssumptions();
        var time = new TimeAssumptions();
        if (a.Value("--stitch-length") is not null && a.Value("--stitches-per-inch") is not null)
            throw new UserErrorException("--stitch-length and --stitches-per-inch say the same; give only one of them.");
        if (a.Value("--stitch-length") is not null) thread = thread with { StitchMm = LengthBetween(a, "--stitch-length", 0.5, 12) };
        if (a.Value("--stitches-per-inch") is not null) thread = thread with { StitchMm = Length.MillimetresPerInch / NumberBetween(a, "--stitches-per-inch", 2, 50) };
        if (a.Value("--thickness") is not null) thread = thread with { ThicknessMm = LengthBetween(a, "--thickness", 0.1, 30) };
        if (a.Value("--rate") is not null) time = time with { StitchesPerMinute = NumberBetween(a, "--rate", 20, 5000) };
        if (a.Value("--pace") is not null && a.Value("--pace-of") is not null)
            throw new UserErrorException("--pace and --pace-of say the same; give only one of them.");
        if (a.Value("--pace") is not null) time = time with { Pace = NumberBetween(a, "--pace", 0.1, 10) };
        if (a.Value("--pace-of") is { } who)
        {
            PlanPace pace = PlanPace.Of(who, a.Value("--log"));
            time = time with { Pace = pace.Pace, PaceBlocks = pace.Blocks };
        }
        return new PlanSettings { GridName = gridName, Inches = inches, Rule = Rule(a), Start = Start(a), Thread = thread, Time = time, CornerMarks = a.Has("--corner-marks") };
    }

    public static TemplateSettings Template(Arguments a)
    {
        PaperSize paper = (a.Value("--paper") ?? "a4").ToLowerInvariant() switch
        {
            "a4" => PaperSize.A4,
            "letter" => PaperSize.Letter,
            string other => throw new UserErrorException($"--paper \"{other}\" should be a4 or letter."),
        };
        var settings = new TemplateSettings { Paper = a.Has("--landscape") ? paper.Landscape() : paper, CornerMarks = a.Has("--corner-marks") };
        return a.Value("--line-weight") is null ? settings : settings with { LineWeightMm = LengthBetween(a, "--line-weight", 0.05, 3) };
    }

    public static double LengthBetween(Arguments a, string option, double leastMm, double mostMm)
    {
        string text = a.Value(option)!;
        if (!Length.TryParse(text, out Length length))
            throw new UserErrorException($"{option} \"{text}\" is not a length; give a number with mm, cm or in.");
        if (!(length.Millimetres >= leastMm && length.Millimetres <= mostMm))
            throw new UserErrorException(string.Create(CultureInfo.InvariantCulture, $"{option} {text} should lie between {leastMm:0.###} mm and {mostMm:0.###} mm."));
        return length.Millimetres;
    }

    private static double NumberBetween(Arguments a, string option, double least, double most)
    {
        string text = a.Value(option)!;
        if (!double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double number) || !(number >= least && number <= most))
            throw new UserErrorException(string.Create(CultureInfo.InvariantCulture, $"{option} \"{text}\" should be a number between {least:0.###} and {most:0.###}."));
        return number;
    }

    private static int Whole(Arguments a, string option, int least, int most, int otherwise)
    {
        if (a.Value(option) is not { } text) return otherwise;
        if (!int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int number) || number < least || number > most)
            throw new UserErrorException($"{option} \"{text}\" should be a whole number from {least} to {most}.");
        return number;
    }

    private static IntendedGrid Derived(Arguments a, IntendedGrid grid)
    {
        bool add = a.Has("--middle-lines"), upright = a.Has("--upright-middle-lines"), drop = a.Has("--no-middle-lines");
        if ((add ? 1 : 0) + (upright ? 1 : 0) + (drop ? 1 : 0) > 1)
            throw new UserErrorException("--middle-lines, --upright-middle-lines and --no-middle-lines exclude each other; give only one of them.");
        if (!add && !upright && !drop) return grid;
        IReadOnlyList<LineFamily> families = drop
            ? GridDerivation.DropMiddleLines(grid.Families) ?? throw new UserErrorException("--no-middle-lines needs a grid of three families, such as triangle:1in.")
            : GridDerivation.AddMiddleLines(grid.Families, upright) ?? throw new UserErrorException($"{(add ? "--middle-lines" : "--upright-middle-lines")} needs a grid of diamonds, such as diamond:1in.");
        try
        {
            return new IntendedGrid(grid.Size, families);
        }
        catch (ArgumentException trouble)
        {
            throw new UserErrorException("The lines through the middle of the diamonds lie too close together; choose a larger spacing.", inner: trouble);
        }
    }

    private static RouteRule Rule(Arguments a)
    {
        if (a.Value("--order") is not { } text) return RouteRule.BorderThenLastFamily;
        foreach (RouteRule rule in Enum.GetValues<RouteRule>())
            if (string.Equals(PlanWriter.Code(rule), text, StringComparison.OrdinalIgnoreCase)) return rule;
        throw new UserErrorException($"--order \"{text}\" should be one of {string.Join(", ", Enum.GetValues<RouteRule>().Select(PlanWriter.Code))}.");
    }

    private static BlockCorner? Start(Arguments a)
    {
        if (a.Value("--start") is not { } text || text == "best") return null;
        foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
            if (string.Equals(PlanWriter.Code(corner), text, StringComparison.OrdinalIgnoreCase)) return corner;
        throw new UserErrorException($"--start \"{text}\" should be best or one of {string.Join(", ", Enum.GetValues<BlockCorner>().Select(PlanWriter.Code))}.");
    }
}
