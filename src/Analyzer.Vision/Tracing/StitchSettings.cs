using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>Settings of all stages between the rectified plane and the traces.</summary>
public sealed record StitchSettings
{
    public EvidenceSettings Evidence { get; init; } = new();

    public TracingSettings Tracing { get; init; } = new();

    /// <summary>Weakest Hough peak that may be an intended line, in noise units of the accumulator.</summary>
    public double LeastStrength { get; init; } = 5;

    /// <summary>How many lines are looked at closely to tell thread from look-alikes.</summary>
    public int Probes { get; init; } = 12;

    /// <summary>So many are enough to see that a thread is plainly stitched.</summary>
    public int FirstProbes { get; init; } = 6;

    /// <summary>Whether dashes and stitches count in telling thread from look-alikes. Off only to see what they buy.</summary>
    internal bool DashScore { get; init; } = true;

    /// <summary>Whether a line near its intended place is preferred, and looked for again there. Off only to see what that buys.</summary>
    internal bool GridPrior { get; init; } = true;

    /// <summary>Whether a net taught on invented photos is asked where the thread runs, wherever the stitches do not show plainly. Off only to see what that buys.</summary>
    internal bool LearntSight { get; init; } = true;

    /// <summary>Whether lines are moved from what the light makes stand out of a thread onto its middle. Off only to see what that buys.</summary>
    internal bool ThreadMiddle { get; init; } = true;
}
