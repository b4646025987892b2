using Analyzer.Core.Geometry;

namespace Analyzer.Vision.Corners;

/// <summary>One side of the block as seen: how far its middle stands out from the straight join of its ends.</summary>
/// <param name="Side">"top", "right", "bottom" or "left".</param>
/// <param name="BowMm">Outward positive, mm; lens and cloth together.</param>
/// <param name="BowUMm">Standard uncertainty of the bow, mm.</param>
/// <param name="ScatterMm">Root mean square distance of the seam from its smooth course, mm.</param>
/// <param name="SeenShare">Share of the side where the seam was seen, 0 to 1.</param>
public sealed record SideReading(string Side, double BowMm, double BowUMm, double ScatterMm, double SeenShare);

/// <summary>Four corners with their covariance, and how they were come by.</summary>
public sealed record FoundBlock
{
    /// <summary>Corners in photo pixels; <see cref="BlockCorners.UncertaintyPx"/> is the root mean square of the eight standard uncertainties.</summary>
    public required BlockCorners Corners { get; init; }

    /// <summary>8 x 8 covariance of (x, y) of top-left, top-right, bottom-right, bottom-left, px².</summary>
    public required double[,] CovariancePx { get; init; }

    public required CornerConfidence Confidence { get; init; }

    /// <summary>Why the confidence is not high, in plain words; empty when it is.</summary>
    public IReadOnlyList<string> Doubts { get; init; } = [];

    /// <summary>Those of the doubts for which the confidence is low.</summary>
    public IReadOnlyList<string> GraveDoubts { get; init; } = [];

    public IReadOnlyList<SideReading> Sides { get; init; } = [];

    /// <summary>Quarter turns clockwise by which the block lies turned in the photo, where its grid or shape shows it; otherwise 0.</summary>
    public int QuarterTurns { get; init; }

    /// <summary>The other places that were weighed, best first, for the picture that explains the choice.</summary>
    public IReadOnlyList<BlockCorners> Candidates { get; init; } = [];

    /// <summary>The score of the choice and its parts, by name.</summary>
    public IReadOnlyDictionary<string, double> Scores { get; init; } = new Dictionary<string, double>();
}
