namespace Analyzer.Vision.Stitches;

/// <summary>How stitching is told from cloth. Lengths in mm of the block.</summary>
public sealed record EvidenceSettings
{
    /// <summary>Scale of the ridge filter across a line: about half a thread's width.</summary>
    public double RidgeScaleMm { get; init; } = 0.22;

    /// <summary>Scale of the averaging along a line: about a quarter of a stitch, so that steep wobble still shows.</summary>
    public double AlongScaleMm { get; init; } = 0.6;

    /// <summary>Resolution of the evidence, px/mm.</summary>
    public double PixelsPerMm { get; init; } = 5;

    /// <summary>Evidence above this many noise units counts no more: a print's hard edges must not win.</summary>
    public double Cap { get; init; } = 6;

    /// <summary>The ditch and its seam are kept out of the search for lines: this far from the block's edge, mm.</summary>
    public double EdgeInsetMm { get; init; } = 1.5;
}
