namespace Analyzer.Testing;

/// <summary>How the lines were stitched: stitch length, and each cause of deviation with its own size.</summary>
/// <remarks>Sizes are standard deviations over lines (offset, angle, bow) or r.m.s. along a line (wobble bands), mm or degrees.</remarks>
public sealed record StitchSettings
{
    /// <summary>Mean distance between needle holes, mm.</summary>
    public double PitchMm { get; init; } = 2.5;

    /// <summary>Relative standard deviation of a single stitch's length.</summary>
    public double PitchSpread { get; init; } = 0.08;

    /// <summary>Standard deviation of a needle hole across the line, mm, independent from hole to hole.</summary>
    public double HoleJitterMm { get; init; } = 0.05;

    public double OffsetSdMm { get; init; } = 0.3;

    public double AngleSdDeg { get; init; } = 0.15;

    /// <summary>Standard deviation of the height of the bow at mid-length, mm.</summary>
    public double BowSdMm { get; init; } = 0.25;

    /// <summary>Steering wobble with wavelengths 20 to 60 mm, r.m.s. mm.</summary>
    public double WobbleLongMm { get; init; } = 0.25;

    /// <summary>Steering wobble with wavelengths 8 to 20 mm, r.m.s. mm.</summary>
    public double WobbleMidMm { get; init; } = 0.12;

    /// <summary>Steering wobble with wavelengths 4.6 to 8 mm, r.m.s. mm.</summary>
    public double WobbleShortMm { get; init; } = 0.05;

    /// <summary>Standard deviation of a line's end beyond (or short of) the finished edge, mm.</summary>
    public double EndSdMm { get; init; } = 0.5;

    /// <summary>Radius by which bounces at the ditch are rounded, mm; null: every line is sewn by itself to the ditch.</summary>
    public double? TurnRadiusMm { get; init; }

    /// <summary>Smooth distortion common to the whole block, r.m.s. mm of what the four corners leave over.</summary>
    public double DistortionMm { get; init; } = 0.15;

    /// <summary>Intended lines that were forgotten.</summary>
    public int MissingLines { get; init; }

    /// <summary>Lines that belong to no family: a doubled run or a wandering repair.</summary>
    public int ExtraLines { get; init; }

    /// <summary>Nothing is stitched inside the block: every intended line is missing.</summary>
    public bool NothingStitched { get; init; }

    /// <summary>Length of thread hidden at each needle hole, mm on each side.</summary>
    public double HoleGapMm { get; init; } = 0.2;

    /// <summary>Loose thread tails left lying on the block.</summary>
    public int LooseEnds { get; init; }

    /// <summary>Straight lines exactly on the grid with no error of any kind.</summary>
    public static StitchSettings Perfect { get; } = new()
    {
        PitchSpread = 0,
        HoleJitterMm = 0,
        OffsetSdMm = 0,
        AngleSdDeg = 0,
        BowSdMm = 0,
        WobbleLongMm = 0,
        WobbleMidMm = 0,
        WobbleShortMm = 0,
        EndSdMm = 0,
        DistortionMm = 0,
    };
}
