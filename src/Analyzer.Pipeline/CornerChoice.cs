using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Quality;
using Analyzer.Core.Reference;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Reference;

namespace Analyzer.Pipeline;

/// <summary>The corners a measurement goes by, where they are from and how sure they are.</summary>
internal sealed record CornerChoice(BlockCorners Corners, string Source, string? Confidence, CornerUncertainty Uncertainty)
{
    public IReadOnlyList<string> Doubts { get; init; } = [];

    public FoundBlock? Found { get; init; }

    /// <summary>Whether all that speaks gravely against corners that were found is where the lines seem to lie, or another seam nearby: once traced, they can settle it.</summary>
    public bool LinesMaySettle => this is { Source: "found", Confidence: "low", Found.GraveDoubts: { Count: > 0 } graves } && graves.All(CornerTrust.LinesCanSettle);

    /// <summary>The same corners once the lines have settled it.</summary>
    public CornerChoice Settled => this with { Confidence = "medium", Doubts = [TracedOutline.Told, .. Doubts.Where(d => !CornerTrust.LinesCanSettle(d))] };

    /// <summary>The same corners, found, one of which the traced lines ask for elsewhere.</summary>
    public CornerChoice DoubtedBy(TracedCorners traced)
    {
        CornerUncertainty wider = Uncertainty.OrMovedBy(traced.MovesMm);
        return this with
        {
            Confidence = "medium",
            Corners = Corners with { UncertaintyPx = Corners.UncertaintyPx * wider.TypicalMm / Uncertainty.TypicalMm },
            Uncertainty = wider,
            Doubts = [.. Doubts, $"the stitched lines would fit better if the {ReasonCatalogue.CornerName(traced.Corner)} corner were {Millimetres(traced.FarthestMm)} from where it was found; if it sits right in the picture, the lines were laid so or the cloth is drawn in there"],
        };
    }

    /// <summary>The seams that lie where the traced lines ask for the corners, if there are any.</summary>
    /// <param name="first">What they asked for at first: that is told.</param>
    public CornerChoice? LookedForAgain(Photo photo, BlockPlane plane, IntendedGrid grid, TracedCorners traced, TracedCorners first)
    {
        PhotoPoint[] asked = [.. grid.Size.Corners().Select((c, k) => plane.ToPhoto(new BlockPoint(c.Xmm - traced.MovesMm[2 * k], c.Ymm - traced.MovesMm[2 * k + 1])))];
        return CornerRefiner.About(photo, asked, grid) is not { } again ? null : OfFound(again, grid, Source) with
        {
            Confidence = "medium",
            Doubts = [.. again.Doubts, $"another edge had first been taken for a side, {Millimetres(first.FarthestMm)} off at the {ReasonCatalogue.CornerName(first.Corner)} corner; the stitched lines asked for the corner elsewhere, and a seam was found there"],
        };
    }

    private static string Millimetres(double mm) => mm.ToString("0.0", System.Globalization.CultureInfo.InvariantCulture) + " mm";

    /// <summary>Numbers of the template's corner marks that gave the corners; null without them.</summary>
    public IReadOnlyList<int>? Marks { get; init; }

    /// <summary>Given marks within this of the seam are taken as they are: the maker's eye and the seam agree.</summary>
    private const double AgreesMm = 1.0;

    /// <summary>Corners given to better than this (with decimals) were measured, not clicked: they are not moved, px.</summary>
    private const double MeasuredPx = 0.3;

    /// <summary>Corners by marks and by the seam that differ by less than this are the same corners, mm.</summary>
    private const double MarksAgreeMm = 2.5;

    /// <summary>How far a block sewn by a template may lie from the template's own corners, standard uncertainty, mm.</summary>
    private const double MarksUMm = 0.5;

    /// <summary>Logarithm of width over height below which a block counts as square: its shape does not tell how it lies.</summary>
    private const double NearlySquare = 0.03;

    private const string OtherShape =
        "The corners given are those of a block that lies turned by a quarter against the width and height in --size; put --turn right, or exchange width and height in --size.";

    private const string MarksNotSeen =
        "The plan has corner marks, but fewer than three of them were seen where this block would have them; the corners were found by the seam. Leave the marks uncovered and flat, or lay them beside the right block.";

    /// <summary>Whether seams will be asked at all: not where corners were measured, or found before.</summary>
    public static bool AsksForSeams(AnalysisSettings settings) =>
        settings.GivenCorners is { } given ? !settings.CornersExact && given.UncertaintyPx >= MeasuredPx : settings.AlreadyFound is null;

    /// <param name="marks">Printed marks seen in the photo, by number.</param>
    public static CornerChoice? Choose(Photo photo, IntendedGrid grid, AnalysisSettings settings, IReadOnlyDictionary<int, PhotoPoint[]> marks)
    {
        int quarters = settings.TurnDeg / 90;
        if (settings.GivenCorners is { } given) return Given(photo, given, grid, settings, quarters);
        if (MarkedCorners.Of(marks, grid.Size) is { } marked)
            return OfFound(ByMarks(photo, marked, grid), grid, "found") with { Marks = [.. marks.Keys.Where(id => id < BlockMarks.Count).Order()] };
        CornerChoice? seam = (settings.AlreadyFound ?? BlockFinder.Find(photo, grid)) is { } found ? OfFound(Turned(found, grid.Size, quarters), grid, "found") : null;
        return settings.CornerMarksExpected && seam is not null ? seam with { Doubts = [.. seam.Doubts, MarksNotSeen] } : seam;
    }

    private static CornerChoice Given(Photo photo, BlockCorners seen, IntendedGrid grid, AnalysisSettings settings, int quarters)
    {
        BlockCorners given = BlockCorners.FromArray([.. Enumerable.Range(0, 4).Select(i => seen.ToArray()[(i + quarters) % 4])], seen.UncertaintyPx);
        CornerChoice asGiven = new(given, "given", null, CornerUncertainty.Of(given, grid.Size)) { Doubts = LiesOtherwise(given, grid.Size) ? [OtherShape] : [] };
        if (!AsksForSeams(settings)) return asGiven;
        FoundBlock refined = CornerRefiner.Refine(photo, given, grid);
        if (refined.Confidence != CornerConfidence.High) return asGiven;
        double farthest = FarthestMm(given, refined.Corners, grid.Size);
        return farthest <= AgreesMm ? asGiven : OfFound(refined, grid, "given") with
        {
            Doubts = [.. asGiven.Doubts, $"The corners you marked were drawn to the seam nearby, by up to {farthest.ToString("0.0", System.Globalization.CultureInfo.InvariantCulture)} mm."],
        };
    }

    /// <summary>Whether the block would have its width and height more nearly after another quarter turn.</summary>
    private static bool LiesOtherwise(BlockCorners given, BlockSize size)
    {
        PhotoPoint[] p = given.ToArray();
        double seen = Math.Log((p[0].DistanceTo(p[1]) + p[3].DistanceTo(p[2])) / (p[0].DistanceTo(p[3]) + p[1].DistanceTo(p[2]))), meant = Math.Log(size.WidthMm / size.HeightMm);
        return Math.Abs(meant) > NearlySquare && Math.Abs(seen - meant) > Math.Abs(seen + meant) + NearlySquare;
    }

    /// <summary>Marks tell the corners and which way is up; the seam beside them, where it shows, tells them better.</summary>
    private static FoundBlock ByMarks(Photo photo, BlockCorners marked, IntendedGrid grid)
    {
        FoundBlock refined = CornerRefiner.Refine(photo, marked with { UncertaintyPx = 5 }, grid);
        if (refined.Confidence != CornerConfidence.Low && FarthestMm(marked, refined.Corners, grid.Size) <= MarksAgreeMm)
            return refined with { Confidence = CornerConfidence.High, Doubts = [] };
        double u = Math.Max(marked.UncertaintyPx, MarksUMm * new BlockPlane(marked, grid.Size).PixelsPerMm);
        var covariance = new double[8, 8];
        for (int i = 0; i < 8; i++) covariance[i, i] = u * u;
        return new FoundBlock
        {
            Corners = marked with { UncertaintyPx = u },
            CovariancePx = covariance,
            Confidence = CornerConfidence.Medium,
            Doubts = ["The corners are those of the printed corner marks; no seam was clear enough there to check them."],
        };
    }

    private static double FarthestMm(BlockCorners a, BlockCorners b, BlockSize size) =>
        a.ToArray().Zip(b.ToArray(), (p, q) => p.DistanceTo(q)).Max() / new BlockPlane(a, size).PixelsPerMm;

    /// <summary>The same block with its own top taken as lying so many quarter turns clockwise in the photo: corner names move on, and their covariance with them.</summary>
    /// <remarks>The finder may have turned the block already, where its shape or grid shows it; a quarter turn that the block's shape rules out is told, not followed.</remarks>
    private static FoundBlock Turned(FoundBlock found, BlockSize size, int quarters)
    {
        if (quarters == 0) return found;
        int more = (quarters - found.QuarterTurns + 4) % 4;
        bool square = Math.Abs(Math.Log(size.WidthMm / size.HeightMm)) < NearlySquare;
        if (!square && more % 2 == 1)
        {
            more = (more + 1) % 4;
            found = found with
            {
                Confidence = found.Confidence < CornerConfidence.Medium ? found.Confidence : CornerConfidence.Medium,
                Doubts = [.. found.Doubts, "The turn asked for does not fit the block's width and height as seen; the nearest that fits was taken; if the block lies otherwise, give its corners, or exchange width and height in --size."],
            };
        }
        if (more == 0) return found;
        PhotoPoint[] old = found.Corners.ToArray();
        int From(int corner) => (corner + more) % 4;
        var covariance = new double[8, 8];
        for (int i = 0; i < 8; i++)
            for (int j = 0; j < 8; j++) covariance[i, j] = found.CovariancePx[(2 * From(i / 2)) + (i % 2), (2 * From(j / 2)) + (j % 2)];
        return found with
        {
            Corners = BlockCorners.FromArray([.. Enumerable.Range(0, 4).Select(i => old[From(i)])], found.Corners.UncertaintyPx),
            CovariancePx = covariance,
            Sides = found.Sides.Count == 4 ? [.. found.Sides.Select((side, i) => found.Sides[From(i)] with { Side = side.Side })] : found.Sides,
        };
    }

    private static CornerChoice OfFound(FoundBlock found, IntendedGrid grid, string source) =>
        new(found.Corners, source, found.Confidence.ToString().ToLowerInvariant(), CornerUncertainty.Of(found.Corners, grid.Size, found.CovariancePx))
        {
            Doubts = found.Doubts,
            Found = found,
        };
}
