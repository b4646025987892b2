namespace Analyzer.Practice.Simulation;

/// <summary>How an invented maker sews, and how an invented photo errs. Lengths in mm, angles in degrees.</summary>
public sealed record Skill
{
    /// <summary>Mean signed offset of each family; families beyond the list have none.</summary>
    public IReadOnlyList<double> FamilyOffsetMm { get; init; } = [];

    public double OffsetSdMm { get; init; } = 0.4;

    /// <summary>Mean turn of each family; families beyond the list have none.</summary>
    public IReadOnlyList<double> FamilyAngleDeg { get; init; } = [];

    public double AngleSdDeg { get; init; } = 0.12;

    /// <summary>R.m.s. wobble of a typical line.</summary>
    public double WobbleMm { get; init; } = 0.3;

    /// <summary>Line-to-line spread of ln(wobble).</summary>
    public double WobbleLogSd { get; init; } = 0.25;

    /// <summary>Correlation of the wobble one millimetre on.</summary>
    public double WobbleCorrelation { get; init; } = 0.93;

    /// <summary>Extra scatter of a line near its crossings, r.m.s.</summary>
    public double AimMm { get; init; } = 0.1;

    /// <summary>Every line's pull at its crossings toward +n, for each family.</summary>
    public IReadOnlyList<double> FamilyAimMm { get; init; } = [];

    public double OvershootMm { get; init; }

    public double OvershootSdMm { get; init; } = 0.5;

    /// <summary>R.m.s. of the block's own smooth distortion.</summary>
    public double DistortionMm { get; init; } = 0.12;

    /// <summary>True standard deviation of each photo corner, per axis.</summary>
    public double CornerUMm { get; init; } = 0.1;

    /// <summary>Noise of each sample from the photo.</summary>
    public double ShapeUMm { get; init; } = 0.03;

    /// <summary>Spread of ln(claimed / true) of what the photo states about its corners and its noise.</summary>
    public double ClaimLogSd { get; init; } = 0.2;

    /// <summary>Chance that a line is not found.</summary>
    public double LostLines { get; init; } = 0.02;
}
