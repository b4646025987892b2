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
    private const double AgreesMm = 1.0;

    /// <summary>Corners given to better than this (with decimals) were measured, not clicked: they are not moved, px.</summary>
    private const double MeasuredPx = 0.3;

    public static CornerChoice? Choose(Photo photo, IntendedGrid grid, AnalysisSettings settings)
    {
        if (settings.GivenCorners is not { } given)
            return (settings.AlreadyFound ?? BlockFinder.Find(photo, grid)) is { } found ? OfFound(Turned(found, settings.TurnDeg / 90), grid, "found") : null;
        CornerChoice asGiven = new(given, "given", null, CornerUncertainty.Of(given, grid.Size));
        if (settings.CornersExact || given.UncertaintyPx < MeasuredPx) return asGiven;
        FoundBlock refined = CornerRefiner.Refine(photo, given, grid);
        if (refined.Confidence != CornerConfidence.High) return asGiven;
        double pixelsPerMm = new Vision.Rectification.BlockPlane(given, grid.Size).PixelsPerMm;
        double farthest = given.ToArray().Zip(refined.Corners.ToArray(), (a, b) => a.DistanceTo(b)).Max() / pixelsPerMm;
        return farthest <= AgreesMm ? asGiven : OfFound(refined, grid, "given") with
        {
            Doubts = [$"The corners you marked were drawn to the seam nearby, by up to {farthest.ToString("0.0", System.Globalization.CultureInfo.InvariantCulture)} mm."],
        };
    }

    /// <summary>The same block with its own top taken as lying so many quarter turns clockwise in the photo: corner names move on, and their covariance with them.</summary>
    private static FoundBlock Turned(FoundBlock found, int quarters)
    {
        if (quarters % 4 == 0) return found;
        PhotoPoint[] old = found.Corners.ToArray();
        int From(int corner) => (corner + quarters) % 4;
        var covariance = new double[8, 8];
        for (int i = 0; i < 8; i++)
            for (int j = 0; j < 8; j++) covariance[i, j] = found.CovariancePx[(2 * From(i / 2)) + (i % 2), (2 * From(j / 2)) + (j % 2)];
        return found with
        {
            Corners = BlockCorners.FromArray([.. Enumerable.Range(0, 4).Select(i => old[From(i)])], found.Corners.UncertaintyPx),
            CovariancePx = covariance,
        };
    }

    private static CornerChoice OfFound(FoundBlock found, IntendedGrid grid, string source) =>
        new(found.Corners, source, found.Confidence.ToString().ToLowerInvariant(), CornerUncertainty.Of(found.Corners, grid.Size, found.CovariancePx))
        {
            Doubts = found.Doubts,
            Found = found,
        };
}
