using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>How sure the found corners are: the fit is looked at once more, and what speaks against it is said.</summary>
internal static class CornerTrust
{
    /// <summary>Score by which the best must lead every other place for high and for medium confidence.</summary>
    private const double ClearLead = 0.15, SomeLead = 0.06;

    /// <summary>A true block shows its seam along (nearly) every side, its lines on the grid, and their ends at the sides.</summary>
    private const double FullSupport = 0.85, SomeSupport = 0.6, ClearContrast = 0.35, SomeContrast = 0.15, ClearEnds = 0.55, SomeEnds = 0.42;

    /// <summary>A little more evidence elsewhere is chance.</summary>
    private const double ClearlyBetter = 0.035, SlightlyBetter = 0.015;

    /// <summary>Score by which the best must lead an outline a few millimetres away.</summary>
    private const double ClearNear = 0.1, SomeNear = 0.04;

    /// <summary>Stitching errors move one side or another; where the lines ask for all sides to move by this on the mean, the outline is another one, mm.</summary>
    private const double TogetherMm = 0.8;

    /// <summary>Score by which the chosen seams must lead others that lie beside them.</summary>
    private const double SomeSeams = 0.035;

    private const string NotOnTheGrid = "the stitched lines do not show where the intended grid has them";

    private const string NoEnds = "the stitched lines do not clearly end at the block's sides";

    private const string SecondOutline = "a second outline runs a few millimetres away, perhaps the cloth's edge";

    private const string OtherSeam = "another seam runs beside a side of the block and fits nearly as well";

    private const string AllSides = "the stitched lines would fit an outline a millimetre or more within or without this one on all sides, perhaps this is the cloth's edge";

    private const string Elsewhere = "the stitched lines would fit an outline some millimetres away better";

    /// <summary>The lines' own best place may differ from the seams by this for high confidence, and by this for any, mm.</summary>
    private const double AgreesMm = 1.3, DisagreesMm = 1.9;

    private const string ByItsLines = "the block was found by its stitched lines, since its sides alone did not tell it";

    /// <summary>
    /// Whether a doubt is about where the stitched lines lie, as far as the small picture shows them, or about which of two seams near each other is the block's: the lines themselves, once traced, can settle it.
    /// </summary>
    public static bool LinesCanSettle(string doubt) => doubt is NotOnTheGrid or NoEnds or SecondOutline or Elsewhere or AllSides or OtherSeam or ByItsLines;

    /// <summary>A block told by its lines where its sides had not told it is never surely found; where the lines would clearly lie better after moves that are more than a maker's errors, it is not known.</summary>
    public static FoundBlock ByLines(FoundBlock found)
    {
        bool elsewhere = found.Scores.GetValueOrDefault("linesBest") > found.Scores.GetValueOrDefault("gridContrast") + ClearlyBetter && found.Scores.GetValueOrDefault("linesOffMm") >= PlaceReading.MovedFromMm;
        CornerConfidence most = elsewhere ? CornerConfidence.Low : CornerConfidence.Medium;
        string[] said = elsewhere && !found.Doubts.Contains(Elsewhere) ? [ByItsLines, Elsewhere] : [ByItsLines];
        return found with { Confidence = found.Confidence < most ? found.Confidence : most, Doubts = [.. found.Doubts, .. said], GraveDoubts = [.. found.GraveDoubts, .. said] };
    }

    /// <summary>The same for corners that were given roughly: only the lines are asked.</summary>
    public static FoundBlock Check(FoundBlock found, EvidenceMap map, IntendedGrid grid)
    {
        if (BetterSight(found, OnMap(found, map), map, grid) is not { } sight) return found with { Confidence = CornerConfidence.Low };
        double[] shifts = sight.BestShifts();
        double off = shifts.Max(Math.Abs);
        if (off <= AgreesMm || sight.Contrast(shifts) <= sight.Contrast([0, 0, 0, 0]) + ClearlyBetter) return found;
        return found with { Confidence = found.Confidence < CornerConfidence.Medium ? found.Confidence : CornerConfidence.Medium, Doubts = [.. found.Doubts, Elsewhere] };
    }

    /// <summary>The lines within the outline as its sides are bowed, or within the straight one, whichever they fit better.</summary>
    private static GridSight? BetterSight(FoundBlock found, (double X, double Y)[] corners, EvidenceMap map, IntendedGrid grid)
    {
        BowedSides sides = BowedSides.Of(grid.Size, found.Sides);
        if (GridSight.Of(map, corners, grid) is not { } straight) return null;
        return !sides.IsStraight && GridSight.Of(map, corners, grid, sides) is { } bowed && bowed.Contrast([0, 0, 0, 0]) > straight.Contrast([0, 0, 0, 0]) ? bowed : straight;
    }

    private static (double X, double Y)[] OnMap(FoundBlock found, EvidenceMap map) => [.. found.Corners.ToArray().Select(map.ToSmall)];

    public static FoundBlock Judge(FoundBlock found, EvidenceMap map, IntendedGrid grid, PlaceReading best, double lead, double nearLead, double seamLead)
    {
        (double X, double Y)[] corners = OnMap(found, map);
        GridSight? sight = BetterSight(found, corners, map, grid);
        if (sight is null) return found with { Confidence = CornerConfidence.Low, Doubts = ["the four sides found do not make a block"] };
        double[] none = [0, 0, 0, 0], shifts = sight.BestShifts();
        bool clothEnds = ClothSight.Of(map, corners, grid.Size, PlaceReading.ClothLooks) is { } cloth && cloth.EndsAllRound;
        double contrast = sight.Contrast(none), reach = sight.Contrast(shifts), ends = PlaceReading.EndsOf(sight, none), off = shifts.Max(Math.Abs);
        bool elsewhere = reach > contrast + ClearlyBetter;
        double together = shifts.Average();
        List<string> doubts = [.. found.Doubts], graves = [.. found.GraveDoubts];
        CornerConfidence trust = found.Confidence;
        void Say(bool doubted, bool grave, string words)
        {
            if (!doubted) return;
            doubts.Add(words);
            if (grave) graves.Add(words);
            CornerConfidence most = grave ? CornerConfidence.Low : CornerConfidence.Medium;
            if (most < trust) trust = most;
        }

        Say(best.LeastSupport < FullSupport, best.LeastSupport < SomeSupport, "one side of the block is hardly to be seen");
        Say(lead < ClearLead, lead < SomeLead, "another outline in the photo fits nearly as well");
        Say(contrast < ClearContrast, contrast < SomeContrast, NotOnTheGrid);
        Say(!clothEnds && ends < ClearEnds, ends < SomeEnds || contrast < ClearContrast, NoEnds);
        Say(nearLead < ClearNear && contrast < ClearContrast, nearLead < SomeNear, SecondOutline);
        Say(seamLead < SomeSeams, seamLead < SomeSeams, OtherSeam);
        // A faint or hardly seen side that the lines put elsewhere is not known at all.
        Say(reach > contrast + SlightlyBetter && off > AgreesMm, found.Confidence < CornerConfidence.High || best.LeastSupport < FullSupport, Elsewhere);
        Say(elsewhere && off >= DisagreesMm, elsewhere && off >= DisagreesMm, Elsewhere);
        Say(reach > contrast + SlightlyBetter && Math.Abs(together) > TogetherMm, false, AllSides);
        return found with
        {
            Confidence = trust,
            Doubts = doubts,
            GraveDoubts = graves,
            Scores = new Dictionary<string, double>
            {
                ["score"] = best.Score,
                ["lead"] = lead,
                ["meanSupport"] = best.MeanSupport,
                ["leastSupport"] = best.LeastSupport,
                ["seamLead"] = seamLead,
                ["gridContrast"] = contrast,
                ["gridEnds"] = ends,
                ["linesOffMm"] = off,
                ["linesTogetherMm"] = together,
                ["linesBest"] = reach,
                ["moved"] = best.IsMoved ? best.Shifts.Max(Math.Abs) : 0,
                ["shapeMisfit"] = best.Quad.ShapeMisfit,
                ["areaShare"] = best.Quad.AreaShare,
            },
        };
    }
}
