using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;

namespace Analyzer.Pipeline;

/// <summary>A large photo that was read at half size: measured so where the block still has pixels enough, otherwise read in whole.</summary>
/// <remarks>What goes in and comes out is in pixels of the whole photo: whole = 2 (half + 0.5) - 0.5.</remarks>
internal static class HalvedPhoto
{
    /// <summary>Resolution the half must leave on the block, px/mm. A 12-megapixel photo of an 8 inch block has 11.</summary>
    private const double EnoughPixelsPerMm = 12;

    /// <summary>Corners given in whole pixels stay recognised as such: their uncertainty is not taken below this, px.</summary>
    private const double ClickedPx = 0.3;

    public static AnalysisOutcome Analyze(Photo half, IntendedGrid grid, AnalysisSettings settings, Func<Photo, AnalysisSettings, AnalysisOutcome> analyze)
    {
        BlockCorners? given = settings.GivenCorners is { } marked ? ToHalf(marked, half.ReducedBy) : null;
        FoundBlock? found = given is null && settings.AlreadyFound is null ? BlockFinder.Find(half, grid) : null;
        BlockCorners? corners = given ?? found?.Corners;
        if (settings.AlreadyFound is null && corners is not null && new BlockPlane(corners, grid.Size).PixelsPerMm >= EnoughPixelsPerMm)
        {
            // With an unknown grid they are looked for again with the lines found.
            return ToWhole(analyze(half, settings with { GivenCorners = given, AlreadyFound = settings.GridUnknown ? null : found }), half);
        }

        using Photo whole = half.Whole();
        return analyze(whole, settings);
    }

    private static BlockCorners ToHalf(BlockCorners whole, int by) => BlockCorners.FromArray(
        [.. whole.ToArray().Select(p => new PhotoPoint((p.X + 0.5) / by - 0.5, (p.Y + 0.5) / by - 0.5))],
        whole.UncertaintyPx < ClickedPx ? whole.UncertaintyPx / by : Math.Max(ClickedPx, whole.UncertaintyPx / by));

    private static AnalysisOutcome ToWhole(AnalysisOutcome outcome, Photo half)
    {
        int by = half.ReducedBy;
        AccuracyReport report = outcome.Report;
        double Whole(double px) => Math.Round((px + 0.5) * by - 0.5, 3);
        return outcome with
        {
            Report = report with
            {
                Photo = report.Photo is { } photo ? photo with { WidthPx = half.FileWidthPx, HeightPx = half.FileHeightPx } : null,
                Block = report.Block is not { } block ? null : block with
                {
                    CornersPx = [.. block.CornersPx.Select(p => p.Select(Whole).ToArray())],
                    CornerUncertaintyPx = block.CornerUncertaintyPx * by,
                    PixelsPerMm = block.PixelsPerMm * by,
                },
                Settings = new Dictionary<string, string>(report.Settings) { ["photoRead"] = "at half size, which leaves pixels enough on the block" },
            },
        };
    }
}
