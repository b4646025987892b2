using Analyzer.Core.Pattern;
using Analyzer.Planning.Amounts;
using Analyzer.Planning.Route;
using Analyzer.Planning.Words;

namespace Analyzer.Planning;

/// <summary>What a plan is made with.</summary>
public sealed record PlanSettings
{
    /// <summary>What the maker calls the grid, such as "triangle:1in".</summary>
    public string GridName { get; init; } = "";

    public bool Inches { get; init; } = true;

    public RouteRule Rule { get; init; } = RouteRule.BorderThenLastFamily;

    /// <summary>Corner to start from; null takes the corner with the least travel, the lower left first.</summary>
    public BlockCorner? Start { get; init; }

    /// <summary>True when the template bears the corner reference marks; plan.json then says where they stand.</summary>
    public bool CornerMarks { get; init; }

    public ThreadAssumptions Thread { get; init; } = new();

    public TimeAssumptions Time { get; init; } = new();
}

/// <summary>A whole plan: grid, the chosen travel path and the others it was chosen from, thread and time.</summary>
public sealed record BlockPlan
{
    public required PlanSettings Settings { get; init; }

    public required IntendedGrid Grid { get; init; }

    public required StitchRoute Route { get; init; }

    /// <summary>Every rule from every corner.</summary>
    public required IReadOnlyList<StitchRoute> Routes { get; init; }

    public required ThreadEstimate Thread { get; init; }

    public required TimeEstimate Time { get; init; }

    /// <summary>One sentence for each step of the route.</summary>
    public required IReadOnlyList<string> StepTexts { get; init; }

    public LengthWords Lengths => new(Settings.Inches);

    /// <summary>"12 in block" or "12 in x 8 in block".</summary>
    public string SizeWords => Math.Abs(Grid.Size.WidthMm - Grid.Size.HeightMm) < 1e-9
        ? Lengths.Say(Grid.Size.WidthMm) + " block"
        : $"{Lengths.Say(Grid.Size.WidthMm)} x {Lengths.Say(Grid.Size.HeightMm)} block";

    /// <summary>"12 in block, triangle grid, 1 in".</summary>
    public string Title
    {
        get
        {
            string name = Settings.GridName;
            int colon = name.IndexOf(':', StringComparison.Ordinal);
            if (colon > 0)
            {
                string[] rest = name[(colon + 1)..].Split(',', 2, StringSplitOptions.TrimEntries);
                string spacing = Core.Units.Length.TryParse(rest[0], out Core.Units.Length length) ? Lengths.Say(length.Millimetres) : rest[0];
                name = $"{name[..colon]} grid, {(rest.Length > 1 ? "near " : "")}{spacing}";
            }
            return name.Length > 0 ? $"{SizeWords}, {name}" : SizeWords;
        }
    }

    public static BlockPlan Make(IntendedGrid grid, PlanSettings settings)
    {
        // Below three families there is no last family to steer through the X.
        if (settings.Rule == RouteRule.BorderThenLastFamily && RoutePlanner.LastFamily(grid.Families) < 0)
            settings = settings with { Rule = RouteRule.BorderFirst };
        var planner = new RoutePlanner(grid);
        var routes = new List<StitchRoute>();
        foreach (RouteRule rule in Enum.GetValues<RouteRule>())
            foreach (BlockCorner corner in Enum.GetValues<BlockCorner>())
                routes.Add(planner.Plan(rule, corner));
        StitchRoute chosen = settings.Start is { } start
            ? routes.First(r => r.Rule == settings.Rule && r.Start == start)
            : Best(routes, settings.Rule);
        return new BlockPlan
        {
            Settings = settings,
            Grid = grid,
            Route = chosen,
            Routes = routes,
            Thread = ThreadModel.Estimate(chosen.StitchedMm, settings.Thread),
            Time = TimeModel.Estimate(chosen, settings.Thread.StitchMm, settings.Time),
            StepTexts = new RouteWords(grid, new LengthWords(settings.Inches)).Steps(chosen),
        };
    }

    /// <summary>Fewest cuts, then least travel, then fewest turns; the lower left corner wins a draw.</summary>
    public static StitchRoute Best(IEnumerable<StitchRoute> routes, RouteRule rule) =>
        routes.Where(r => r.Rule == rule).OrderBy(r => r.Cuts).ThenBy(r => Math.Round(r.DitchAgainMm, 3)).ThenBy(r => r.Pivots).ThenBy(r => r.Start).First();
}
