using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline;

/// <summary>The corners a measurement goes by, where they are from and how sure they are.</summary>
internal sealed record CornerChoice(BlockCorners Corners, string Source, string? Confidence, CornerUncertainty Uncertainty)
{
    public IReadOnlyList<string> Doubts { get; init; } = [];

    public FoundBlock? Found { get; init; }

    /// <summary>Given marks within this of the seam are taken as they are: the maker's eye and the seam agree.</summary>
    private const double AgreesMm = 0.8;

    public static CornerChoice? Choose(Photo photo, IntendedGrid grid, AnalysisSettings settings)
    {
        if (settings.GivenCorners is not { } given)
            return BlockFinder.Find(photo, grid) is { } found ? OfFound(found, grid, "found") : null;
        CornerChoice asGiven = new(given, "given", null, CornerUncertainty.Of(given, grid.Size));
        if (settings.CornersExact) return asGiven;
        FoundBlock refined = CornerRefiner.Refine(photo, given, grid);
        if (refined.Confidence == CornerConfidence.Low) return asGiven;
        double pixelsPerMm = new Vision.Rectification.BlockPlane(given, grid.Size).PixelsPerMm;
        double farthest = given.ToArray().Zip(refined.Corners.ToArray(), (a, b) => a.DistanceTo(b)).Max() / pixelsPerMm;
        return farthest <= AgreesMm ? asGiven : OfFound(refined, grid, "given") with
        {
            Doubts = [$"The corners you marked were drawn to the seam nearby, by up to {farthest.ToString("0.0", System.Globalization.CultureInfo.InvariantCulture)} mm."],
        };
    }

    private static CornerChoice OfFound(FoundBlock found, IntendedGrid grid, string source) =>
        new(found.Corners, source, found.Confidence.ToString().ToLowerInvariant(), CornerUncertainty.Of(found.Corners, grid.Size, found.CovariancePx))
        {
            Doubts = found.Doubts,
            Found = found,
        };
}
