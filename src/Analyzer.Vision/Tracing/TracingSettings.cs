namespace Analyzer.Vision.Tracing;

/// <summary>How a thread's centre is found to sub-pixel. Lengths in mm of the block.</summary>
public sealed record TracingSettings
{
    /// <summary>Averaging along the line at each round of the fit (standard deviation of a Gaussian) for a thread that stands out well.</summary>
    public double AlongScaleMm { get; init; } = 0.6;

    /// <summary>The same for a faint thread; between the two it follows the contrast.</summary>
    public double FaintAlongScaleMm { get; init; } = 1.2;

    /// <summary>Contrast (thread against ground noise per 1/8 mm) from which the finer averaging serves.</summary>
    public double ClearContrast { get; init; } = 6;

    /// <summary>Rounds of fit and shift.</summary>
    public int Rounds { get; init; } = 3;

    /// <summary>Where the thread is fainter than this share of the line's usual strength, it was not seen.</summary>
    public double FaintShare { get; init; } = 0.35;

    /// <summary>A place nearer than this to another stitched line is left out of the fit.</summary>
    public double CrossingHalfWidthMm { get; init; } = 0.34;

    /// <summary>Distance from the line at which the cloth's own noise is measured.</summary>
    public double GroundShiftMm { get; init; } = 2.3;

    /// <summary>Samples nearer than this to the ditch are not given: the seam is there.</summary>
    public double EdgeInsetMm { get; init; } = 0.4;

    /// <summary>The same where a whole furrow is followed: its profile must not reach into the ditch's.</summary>
    public double FurrowInsetMm { get; init; } = 1.3;

    /// <summary>Unevenness of the thread itself (twist, light on single stitches) as a standard deviation of its apparent centre.</summary>
    public double ThreadUnevennessMm { get; init; } = 0.009;

    /// <summary>Limit of resolution in photo pixels: what interpolation and compression leave.</summary>
    public double ResolutionPx { get; init; } = 0.05;

    /// <summary>Whether a one-sided step, which takes up the furrow's shadow, is fitted beside the thread. Off only to see what it buys.</summary>
    internal bool OneSidedStep { get; init; } = true;

    /// <summary>What the noise measured on the ground is multiplied by for noise on the thread; from comparison with known truth over many invented photos.</summary>
    public double NoiseFactor { get; init; } = 1.45;
}
