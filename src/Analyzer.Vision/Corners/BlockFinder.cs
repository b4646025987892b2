using System.Diagnostics;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;

namespace Analyzer.Vision.Corners;

/// <summary>Finds the finished block in a photo: four long seams that make the right shape and hold the intended grid.</summary>
/// <remarks>
/// Cues, scored together: seams of change of cloth, furrow or thread by Hough; a shape a camera can make of the block's rectangle;
/// stitched lines on the intended grid inside it; stitching that ends at its sides.
/// </remarks>
public static class BlockFinder
{
    private const int MostLines = 110, MostQuads = 700, FewQuads = 40;

    /// <summary>Score by which the best must lead every other place for high and for medium confidence.</summary>
    private const double ClearLead = 0.12, SomeLead = 0.05;

    /// <summary>A true block shows its seam along (nearly) every side, its lines on the grid, and their ends at the sides.</summary>
    private const double FullSupport = 0.9, ClearContrast = 0.3, ClearEnds = 0.45;

    /// <summary>Places nearer than this share of the block's side are one place.</summary>
    private const double SamePlaceShare = 0.03;

    /// <summary>Insets of a second outline that make the choice a question, mm.</summary>
    private const double NestedFromMm = 1.4, NestedToMm = 9;

    /// <summary>The best place, or null when nothing in the photo could be the block.</summary>
    public static FoundBlock? Find(Photo photo, IntendedGrid grid) => Find(photo, grid, out _);

    internal static FoundBlock? Find(Photo photo, IntendedGrid grid, out string stages)
    {
        var clock = Stopwatch.StartNew();
        EvidenceMap map = EvidenceMap.Of(photo.Bgr);
        stages = $"evidence {clock.ElapsedMilliseconds} ";
        List<Quad> ranked = Rank(map, grid);
        stages += $"ranked {clock.ElapsedMilliseconds} ";
        if (ranked.Count == 0) return null;
        Quad best = ranked[0];
        BlockSize size = grid.Size;
        PhotoPoint[] rough = ToPhoto(map, best, best.QuarterTurns);
        double side = Math.Max(size.WidthMm, size.HeightMm);
        CornerFit? fit = CornerFit.Of(photo.Bgr, rough, size, 0.8 + 0.008 * side, 0.05);
        if (fit is not null) fit = CornerFit.Of(photo.Bgr, fit.Corners, size, 0.8, 0.3) ?? fit;
        stages += $"fitted {clock.ElapsedMilliseconds} ms";
        if (fit is null) return null;
        List<Quad> others = [.. ranked.Where(q => q.DistanceTo(best) > SamePlaceShare * Math.Sqrt(best.AreaShare * map.Width * map.Height))];
        double lead = others.Count == 0 ? 1 : best.Score - others[0].Score;
        List<string> doubts = Doubts(best, lead);
        bool nested = ranked.Any(q => IsNestedClose(best, q, size));
        if (nested) doubts.Add("two outlines lie close together, perhaps the cloth's edge and the stitched edge");
        FoundBlock found = FoundBlocks.From(fit, size, best.QuarterTurns, [.. others.Take(5).Select(q => BlockCorners.FromArray(ToPhoto(map, q, q.QuarterTurns), map.Scale))], doubts);
        return found with { Confidence = nested ? CornerConfidence.Low : Least(found.Confidence, Trust(best, lead)), Scores = Scores(best, lead) };
    }

    internal static List<Quad> Rank(EvidenceMap map, IntendedGrid grid)
    {
        List<SeamLine> lines = SeamSearch.Find(map, MostLines);
        List<Quad> quads = QuadSearch.Find(map, lines, grid.Size, null, MostQuads);
        Judge(map, quads, new GridWitness(grid, 16), 14);
        quads.Sort((p, q) => q.Score.CompareTo(p.Score));
        List<Quad> few = Distinct(map, quads, FewQuads);
        Judge(map, few, new GridWitness(grid, 60), 60);
        few.Sort((p, q) => q.Score.CompareTo(p.Score));
        return few;
    }

    /// <summary>Keeps the best of places that are nearly the same.</summary>
    private static List<Quad> Distinct(EvidenceMap map, List<Quad> quads, int most)
    {
        var kept = new List<Quad>();
        foreach (Quad quad in quads)
        {
            if (kept.Count == most) break;
            if (kept.All(k => k.DistanceTo(quad) > 1.5)) kept.Add(quad);
        }
        return kept;
    }

    private static void Judge(EvidenceMap map, List<Quad> quads, GridWitness witness, int samples) =>
        Parallel.ForEach(quads, quad =>
        {
            GridEvidence straight = witness.Ask(map, quad.Turned(quad.QuarterTurns), samples), turned = straight;
            if (quad.QuarterTurns == 0 && straight.Contrast < 0.45) turned = witness.Ask(map, quad.Turned(1), samples);
            // A turned grid must be clearly the better one: what is up in the photo counts as up.
            if (quad.QuarterTurns == 0 && turned.Contrast > straight.Contrast + 0.25)
            {
                quad.QuarterTurns = 1;
                straight = turned;
            }
            quad.Grid = straight;
            quad.Score = ScoreOf(quad);
        });

    private static double ScoreOf(Quad q) =>
        0.45 * q.MeanSupport + 0.35 * q.LeastSupport + 1.0 * q.Grid.Contrast + 0.6 * q.Grid.Ends + 0.3 * Math.Sqrt(q.AreaShare) - 1.0 * q.ShapeMisfit;

    private static CornerConfidence Trust(Quad best, double lead)
    {
        if (best.LeastSupport < FullSupport || lead < SomeLead || best.Grid.Contrast < 0.15 || best.Grid.Ends < 0.25) return CornerConfidence.Low;
        return lead >= ClearLead && best.Grid.Contrast >= ClearContrast && best.Grid.Ends >= ClearEnds ? CornerConfidence.High : CornerConfidence.Medium;
    }

    private static List<string> Doubts(Quad best, double lead)
    {
        var doubts = new List<string>();
        if (best.LeastSupport < FullSupport) doubts.Add("one side of the block is hardly to be seen");
        if (lead < ClearLead) doubts.Add("another outline in the photo fits nearly as well");
        if (best.Grid.Contrast < ClearContrast) doubts.Add("the stitched lines do not show where the intended grid has them");
        if (best.Grid.Ends < ClearEnds) doubts.Add("the stitched lines do not clearly end at the block's sides");
        return doubts;
    }

    /// <summary>Whether another well-seen outline runs inside (or outside) this one at a few millimetres on all four sides.</summary>
    private static bool IsNestedClose(Quad best, Quad other, BlockSize size)
    {
        if (other.LeastSupport < 0.85 || other.Score < best.Score - 0.35) return false;
        Homography mm = Homography.FromFourPoints([.. best.Turned(best.QuarterTurns)], [.. size.Corners().Select(p => (p.Xmm, p.Ymm))]);
        (double X, double Y)[] at = [.. other.Turned(best.QuarterTurns).Select(p => mm.Map(p.X, p.Y))];
        double[] insets = [at[0].X, at[0].Y, size.WidthMm - at[1].X, at[1].Y, size.WidthMm - at[2].X, size.HeightMm - at[2].Y, at[3].X, size.HeightMm - at[3].Y];
        return insets.Min() > NestedFromMm && insets.Max() < NestedToMm;
    }

    private static CornerConfidence Least(CornerConfidence a, CornerConfidence b) => a < b ? a : b;

    private static Dictionary<string, double> Scores(Quad q, double lead) => new()
    {
        ["score"] = q.Score,
        ["lead"] = lead,
        ["meanSupport"] = q.MeanSupport,
        ["leastSupport"] = q.LeastSupport,
        ["gridContrast"] = q.Grid.Contrast,
        ["gridEnds"] = q.Grid.Ends,
        ["shapeMisfit"] = q.ShapeMisfit,
        ["areaShare"] = q.AreaShare,
    };

    private static PhotoPoint[] ToPhoto(EvidenceMap map, Quad quad, int turns) =>
        [.. quad.Turned(turns).Select(p => new PhotoPoint(map.ToPhoto(p.X), map.ToPhoto(p.Y)))];
}
