using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>Seams, the places they make, and a first quick ranking by seams, shape and lines.</summary>
internal static class PlaceSearch
{
    private const int MostLines = 160, MostQuads = 1000, FewQuads = 60, MostClothLooks = 40;

    /// <summary>Longer side of the film that equivalent focal lengths refer to, mm.</summary>
    private const double FilmMm = 36;

    /// <summary>Places told by the stitched lines alone; best first.</summary>
    public static List<Quad> ByLines(EvidenceMap map, IntendedGrid grid, double? focal35Mm)
    {
        List<Quad> few = Distinct(LatticeSearch.Find(map, grid, FocalPx(map, focal35Mm)), FewQuads);
        Judge(map, grid.Size, few, new GridWitness(grid, 60), 60);
        few.Sort((p, q) => q.Score.CompareTo(p.Score));
        return few;
    }

    private static double? FocalPx(EvidenceMap map, double? focal35Mm) => focal35Mm / FilmMm * map.LongerPx;

    public static List<Quad> Rank(EvidenceMap map, IntendedGrid grid, double? focal35Mm)
    {
        List<SeamLine> lines = SeamSearch.Find(map, MostLines);
        List<Quad> quads = QuadSearch.Find(map, lines, grid.Size, FocalPx(map, focal35Mm), MostQuads);
        Judge(map, grid.Size, quads, new GridWitness(grid, 16), 14);
        quads.Sort((p, q) => q.Score.CompareTo(p.Score));
        List<Quad> few = Distinct(quads, FewQuads);
        Judge(map, grid.Size, few, new GridWitness(grid, 60), 60);
        few.Sort((p, q) => q.Score.CompareTo(p.Score));
        return few;
    }

    /// <summary>Keeps the best of places that are nearly the same.</summary>
    private static List<Quad> Distinct(List<Quad> quads, int most)
    {
        var kept = new List<Quad>();
        foreach (Quad quad in quads)
        {
            if (kept.Count == most) break;
            if (kept.All(k => k.DistanceTo(quad) > 3)) kept.Add(quad);
        }
        return kept;
    }

    private static void Judge(EvidenceMap map, BlockSize size, List<Quad> quads, GridWitness witness, int samples) =>
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
            ClothSight? cloth = ClothSight.Of(map, quad.Turned(quad.QuarterTurns), size, Math.Min(samples + 2, MostClothLooks));
            quad.Score = 0.4 * quad.MeanSupport + 0.8 * quad.LeastSupport + straight.Contrast + (cloth?.Ends(straight.Ends) ?? straight.Ends) - 0.5 * quad.ShapeMisfit + (cloth?.Score ?? 0);
        });
}
