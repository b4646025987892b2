namespace Analyzer.Vision.Tracing;

/// <summary>How a thread's centre is found to sub-pixel. Lengths in mm of the block.</summary>
public sealed record TracingSettings
{
    /// <summary>Averaging along the line at each round of the fit (standard deviation of a Gaussian).</summary>
    public double AlongScaleMm { get; init; } = 1.0;

    /// <summary>Rounds of fit and shift.</summary>
    public int Rounds { get; init; } = 3;

    /// <summary>Where the thread is fainter than this share of the line's usual strength, it was not seen.</summary>
    public double FaintShare { get; init; } = 0.35;

    /// <summary>A place nearer than this to another stitched line is left out of the fit.</summary>
    public double CrossingHalfWidthMm { get; init; } = 0.45;

    /// <summary>Distance from the line at which the cloth's own noise is measured.</summary>
    public double GroundShiftMm { get; init; } = 2.3;

    /// <summary>Samples nearer than this to the ditch are not given: the seam is there.</summary>
    public double EdgeInsetMm { get; init; } = 1.0;

    /// <summary>Unevenness of the thread itself (twist, light on single stitches) as a standard deviation of its apparent centre.</summary>
    public double ThreadUnevennessMm { get; init; } = 0.008;

    /// <summary>Limit of resolution in photo pixels: what interpolation and compression leave.</summary>
    public double ResolutionPx { get; init; } = 0.05;

    /// <summary>What the noise measured on the ground is multiplied by for noise on the thread; from comparison with known truth over many invented photos.</summary>
    public double NoiseFactor { get; init; } = 1.15;
}
