using Analyzer.Core.Geometry;

namespace Analyzer.Planning.Route;

/// <summary>In which order the border and the lines are sewn.</summary>
public enum RouteRule
{
    /// <summary>Border, then all families but the last, then the last (the horizontals), steered through the X. Common practice, no source.</summary>
    BorderThenLastFamily,

    /// <summary>Border once round, then the lines in whatever order travels least.</summary>
    BorderFirst,

    /// <summary>Border and lines in whatever order travels least.</summary>
    AnyOrder,

    /// <summary>No stretch of ditch is sewn a second time: the thread is cut instead, as seldom as possible.</summary>
    NoSecondPass,

    /// <summary>The ditch is not sewn at all: lines only, turning where two of them end together.</summary>
    LinesOnly,
}

public enum StepKind
{
    /// <summary>Ditch sewn for the first time.</summary>
    Ditch,

    /// <summary>Ditch that is already stitched, sewn over again to get to the next line.</summary>
    DitchAgain,

    /// <summary>One whole line from border to border.</summary>
    Line,

    /// <summary>Thread cut; start again at the step's end.</summary>
    Cut,
}

/// <summary>One move of the route.</summary>
/// <param name="Number">From 1.</param>
/// <param name="LineId">The line's id, for a line.</param>
/// <param name="Points">From, corners passed, To; block mm.</param>
public sealed record RouteStep(int Number, StepKind Kind, string? LineId, IReadOnlyList<BlockPoint> Points)
{
    public BlockPoint From => Points[0];

    public BlockPoint To => Points[^1];

    public double LengthMm { get; } = Points.Zip(Points.Skip(1), (a, b) => a.DistanceTo(b)).Sum();
}

/// <summary>A travel path and what it costs.</summary>
public sealed record StitchRoute
{
    public required RouteRule Rule { get; init; }

    public required BlockCorner Start { get; init; }

    public required IReadOnlyList<RouteStep> Steps { get; init; }

    /// <summary>How often the thread is cut between start and end.</summary>
    public required int Cuts { get; init; }

    /// <summary>Turns with the needle down: at corners, from ditch to line, from line to ditch, and bounces.</summary>
    public required int Pivots { get; init; }

    /// <summary>Turns straight from one line into another.</summary>
    public required int Bounces { get; init; }

    public double LinesMm => LengthOf(StepKind.Line);

    public double DitchMm => LengthOf(StepKind.Ditch);

    /// <summary>Ditch sewn over again, mm.</summary>
    public double DitchAgainMm => LengthOf(StepKind.DitchAgain);

    /// <summary>Everything the needle sews, mm.</summary>
    public double StitchedMm => LinesMm + DitchMm + DitchAgainMm;

    /// <summary>Ids of the lines in the order they are sewn.</summary>
    public IReadOnlyList<string> LineOrder => [.. Steps.Where(s => s.Kind == StepKind.Line).Select(s => s.LineId!)];

    public BlockPoint StartPoint => Steps[0].From;

    public BlockPoint EndPoint => Steps[^1].To;

    private double LengthOf(StepKind kind) => Steps.Where(s => s.Kind == kind).Sum(s => s.LengthMm);
}
