namespace Analyzer.Vision.Quality;

/// <summary>Limits of each check: up to (or from) the first value good, to the second fair, beyond poor.</summary>
/// <remarks>
/// A thread is about 0.3 to 0.5 mm wide, so blur and pixel size are judged against that; tilt by the photo advice (up to 25 degrees);
/// loft by C10 of the external checks. Where no source is named the value is our judgement.
/// </remarks>
public sealed record QualityLimits
{
    public double GoodPixelsPerMm { get; init; } = 6;

    public double FairPixelsPerMm { get; init; } = 3.5;

    /// <summary>Blur across an edge, standard deviation, mm.</summary>
    public double GoodBlurMm { get; init; } = 0.16;

    public double FairBlurMm { get; init; } = 0.32;

    /// <summary>Mean brightness, percent of full.</summary>
    public double DarkGoodPercent { get; init; } = 18;

    public double DarkFairPercent { get; init; } = 9;

    /// <summary>Where a dark block is in a photo of which hardly anything is brighter than this, the photo itself is dark, percent of full.</summary>
    public double DarkPhotoPercent { get; init; } = 25;

    /// <summary>Burnt-out or black share of the block's pixels, percent.</summary>
    public double GoodClippedPercent { get; init; } = 0.5;

    public double FairClippedPercent { get; init; } = 4;

    /// <summary>Share of the block's area inside glare spots, percent.</summary>
    public double GoodGlarePercent { get; init; } = 0.3;

    public double FairGlarePercent { get; init; } = 2;

    /// <summary>Noise of calm places, grey levels of 255.</summary>
    public double GoodNoiseLevels { get; init; } = 6;

    public double FairNoiseLevels { get; init; } = 13;

    public double GoodTiltDeg { get; init; } = 12;

    public double FairTiltDeg { get; init; } = 25;

    /// <summary>Sideways shift of a place that stands one loft above the corners' plane, at the block's corner, mm.</summary>
    public double GoodLoftShiftMm { get; init; } = 0.5;

    public double FairLoftShiftMm { get; init; } = 1.0;

    /// <summary>Height of puffed cloth above the ditch, mm.</summary>
    public double LoftMm { get; init; } = 1.5;

    /// <summary>Free rim between the block and the photo's edge, percent of the block's side.</summary>
    public double GoodRimPercent { get; init; } = 2;

    public double FairRimPercent { get; init; } = 0.3;

    public static QualityLimits Default { get; } = new();
}
