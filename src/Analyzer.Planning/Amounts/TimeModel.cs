using Analyzer.Planning.Route;

namespace Analyzer.Planning.Amounts;

/// <summary>What the time estimate assumes. The rates are for sewing along a ruler; all but the stitch rate are our assumptions until a log calibrates them.</summary>
public sealed record TimeAssumptions
{
    public double StitchesPerMinute { get; init; } = 400;

    /// <summary>Laying the ruler and bringing the needle to the line, for every line and every stretch of ditch sewn again, s.</summary>
    public double PlaceSeconds { get; init; } = 10;

    /// <summary>Moving ruler and hands along on the way, once for every such length, s and mm.</summary>
    public double RepositionSeconds { get; init; } = 4;

    public double RepositionEveryMm { get; init; } = 150;

    public double PivotSeconds { get; init; } = 2;

    /// <summary>Locking, cutting, burying tails and starting anew, s.</summary>
    public double CutSeconds { get; init; } = 60;

    /// <summary>Own pace against these assumptions: total time measured / total time predicted; 1 until known.</summary>
    public double Pace { get; init; } = 1;

    /// <summary>From so many blocks of the practice log the pace comes; 0 when it was given or is not known.</summary>
    public int PaceBlocks { get; init; }
}

/// <summary>Minutes for one block, part by part.</summary>
public sealed record TimeEstimate(double NeedleMin, double PlaceMin, double RepositionMin, double PivotMin, double CutMin, double Pace)
{
    public double TotalMin => (NeedleMin + PlaceMin + RepositionMin + PivotMin + CutMin) * Pace;
}

public static class TimeModel
{
    /// <summary>Needle time in minutes: length / stitch length / rate.</summary>
    public static double NeedleMinutes(double seamMm, double stitchMm, double stitchesPerMinute) => seamMm / stitchMm / stitchesPerMinute;

    public static TimeEstimate Estimate(StitchRoute route, double stitchMm, TimeAssumptions assume)
    {
        int placements = route.Steps.Count(s => s.Kind != StepKind.Cut);
        // Start and end each take the work of half a cut.
        return new TimeEstimate(
            NeedleMinutes(route.StitchedMm, stitchMm, assume.StitchesPerMinute),
            placements * assume.PlaceSeconds / 60,
            Math.Floor(route.StitchedMm / assume.RepositionEveryMm) * assume.RepositionSeconds / 60,
            route.Pivots * assume.PivotSeconds / 60,
            (route.Cuts + 1) * assume.CutSeconds / 60,
            assume.Pace);
    }

    /// <summary>The pace that logged blocks speak for: total measured over total predicted minutes. 1 when nothing was logged.</summary>
    public static double PaceFrom(IEnumerable<(double PredictedMin, double MeasuredMin)> log)
    {
        double predicted = 0, measured = 0;
        foreach ((double p, double m) in log)
        {
            if (!(p > 0) || !(m > 0)) continue;
            predicted += p;
            measured += m;
        }
        return predicted > 0 ? measured / predicted : 1;
    }
}
