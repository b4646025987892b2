namespace Analyzer.Core.Causes;

/// <summary>What the split of the squared deviation into causes should take into account.</summary>
public sealed record CauseSettings
{
    /// <summary>Standard uncertainty of each corner coordinate in the block, mm; what this explains is not blamed on the stitcher. 0 = corners exact.</summary>
    public double CornerUMm { get; init; }

    /// <summary>Stitch length, mm: waves shorter than two stitches are thread shape, not steering (a needle cannot steer between holes).</summary>
    public double StitchLengthMm { get; init; } = 2.3;

    /// <summary>Family stitched last, whose aim at the crossings is judged; null: the last of three or more families.</summary>
    public int? LastFamily { get; init; }

    /// <summary>Line ids in the order of stitching, where known.</summary>
    public IReadOnlyList<string> StitchedOrder { get; init; } = [];

    /// <summary>Resamplings for the intervals.</summary>
    public int Resamplings { get; init; } = 200;

    public int Seed { get; init; } = 1;

    /// <summary>Chance of finding a block distortion that is not there, per test.</summary>
    public double DistortionLevel { get; init; } = 0.05;
}
