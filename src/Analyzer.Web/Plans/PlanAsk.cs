using System.Globalization;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Planning;
using Analyzer.Planning.Amounts;
using Analyzer.Planning.Grids;
using Analyzer.Planning.Paper;
using Analyzer.Planning.Route;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Plans;

/// <summary>What the plan page asks for, read and checked: grid, settings, paper, and which spacings fit.</summary>
internal sealed record PlanAsk(IntendedGrid Grid, PlanSettings Settings, TemplateSettings Template, FitResult? Fit)
{
    /// <summary>Enough for any block that is quilted by hand on a ruler, and drawn without a wait.</summary>
    private const int MostLines = 320;

    public static PlanAsk Parse(IQueryCollection query, PlanShelf plans)
    {
        BlockChoice choice = BlockChoice.Parse(query["size"], query["grid"], plans);
        IntendedGrid grid = choice.Grid;
        string name = choice.Plan?.Plan.GridName ?? (choice.GridText.StartsWith("lines:", StringComparison.Ordinal) ? "" : choice.GridText);
        FitResult? fit = null;
        string[] parts = choice.GridText.Split(':', 2);
        if (GridFit.AngleOf(parts[0]) is not null && Length.TryParse(parts[1], out Length spacing))
        {
            fit = GridFit.Offers(parts[0], spacing.Millimetres, grid.Size);
            int taken = (int)Number(query, "fit", 0, 0, fit.Offers.Count, "The chosen fit");
            if (taken > 0)
            {
                grid = new IntendedGrid(grid.Size, fit.Offers[taken - 1].Families);
                name += ", fitted";
            }
        }
        grid = Derived(query["middle"], grid);
        if (grid.Lines.Count > MostLines)
            throw new FormatException($"This grid has {grid.Lines.Count} lines; the page draws up to {MostLines}. Choose a larger spacing.");
        bool inches = query["units"] != "mm";
        return new PlanAsk(grid, Setting(query, name, inches), Sheet(query), fit);
    }

    public BlockPlan Make() => BlockPlan.Make(Grid, Settings);

    private static PlanSettings Setting(IQueryCollection query, string name, bool inches) => new()
    {
        GridName = name,
        Inches = inches,
        Rule = One(query["order"], Enum.GetValues<RouteRule>(), PlanWriter.Code) ?? RouteRule.BorderThenLastFamily,
        Start = One(query["start"], Enum.GetValues<BlockCorner>(), PlanWriter.Code),
        Thread = new ThreadAssumptions
        {
            StitchMm = Number(query, "stitch", new ThreadAssumptions().StitchMm, 0.5, 12, "The stitch length in mm"),
            ThicknessMm = Number(query, "thickness", new ThreadAssumptions().ThicknessMm, 0.1, 30, "The thickness in mm"),
        },
        Time = new TimeAssumptions
        {
            StitchesPerMinute = Number(query, "rate", new TimeAssumptions().StitchesPerMinute, 20, 5000, "The number of stitches a minute"),
            Pace = Number(query, "pace", 1, 0.1, 10, "The pace"),
        },
    };

    private static TemplateSettings Sheet(IQueryCollection query)
    {
        PaperSize paper = query["paper"] == "letter" ? PaperSize.Letter : PaperSize.A4;
        return new TemplateSettings
        {
            Paper = query["across"] == "1" ? paper.Landscape() : paper,
            CornerMarks = query["marks"] == "1",
            LineWeightMm = Number(query, "weight", new TemplateSettings().LineWeightMm, 0.05, 3, "The width of the printed lines in mm"),
        };
    }

    private static IntendedGrid Derived(string? middle, IntendedGrid grid)
    {
        if (middle is not ("across" or "upright" or "none")) return grid;
        IReadOnlyList<LineFamily> families = middle == "none"
            ? GridDerivation.DropMiddleLines(grid.Families) ?? throw new FormatException("Only a grid of three families has middle lines to leave out.")
            : GridDerivation.AddMiddleLines(grid.Families, middle == "upright") ?? throw new FormatException("Middle lines can be added to diamonds only; choose a diamond pattern.");
        try
        {
            return new IntendedGrid(grid.Size, families);
        }
        catch (ArgumentException trouble)
        {
            throw new FormatException("The lines through the middle of the diamonds lie too close together; choose a larger spacing.", trouble);
        }
    }

    private static T? One<T>(string? text, T[] all, Func<T, string> code) where T : struct
    {
        foreach (T value in all)
            if (code(value) == text) return value;
        return null;
    }

    private static double Number(IQueryCollection query, string key, double otherwise, double least, double most, string what)
    {
        string? text = query[key];
        if (string.IsNullOrWhiteSpace(text)) return otherwise;
        return double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && value >= least && value <= most
            ? value
            : throw new FormatException(string.Create(CultureInfo.InvariantCulture, $"{what} should be a number between {least:0.##} and {most:0.##}."));
    }
}
