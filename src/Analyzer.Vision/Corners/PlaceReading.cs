using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>One place looked at closely: its corners (as the grid sees them, map pixels) and what speaks for it.</summary>
/// <param name="IsMoved">Whether the stitched lines moved the sides away from the seams by which the place was found.</param>
/// <param name="Shifts">Outward shifts of the sides against the quad, mm.</param>
/// <param name="Contrast">How clearly the lines stand out where the grid has them.</param>
/// <param name="Ends">How clearly the stitching ends at the sides, mean of the sides it can be told on.</param>
internal sealed record PlaceReading(Quad Quad, (double X, double Y)[] Corners, bool IsMoved, double[] Shifts, double MeanSupport, double LeastSupport, double Contrast, double Ends, double Score)
{
    /// <summary>Lines that lie off by less than this are the maker's errors; more is a reason to look whether another seam fits, mm.</summary>
    public const double MovedFromMm = 0.9;

    /// <summary>Lines as clear as this need no second look; a turned grid must be better by the cost: what is up in the photo counts as up.</summary>
    private const double ClearWithoutTurn = 0.45, TurnCost = 0.2;

    public const int ClothLooks = 40;

    /// <summary>Map pixels of a typical side.</summary>
    public double SidePx => Math.Sqrt(Math.Max(1, Math.Abs((Corners[2].X - Corners[0].X) * (Corners[3].Y - Corners[1].Y) - (Corners[3].X - Corners[1].X) * (Corners[2].Y - Corners[0].Y)) / 2));

    /// <summary>The place as found and, where the lines say so, moved; a square place also turned by a quarter when its lines do not show.</summary>
    public static List<PlaceReading> Of(EvidenceMap map, Quad quad, IntendedGrid grid, bool mayTurn = true)
    {
        bool square = Math.Abs(Math.Log(grid.Size.WidthMm / grid.Size.HeightMm)) < 0.03;
        if (!square || !mayTurn) return OfTurn(map, quad, grid);
        List<PlaceReading> readings = OfTurn(map, quad.With(0), grid);
        if (readings.Count > 0 && readings.Max(r => r.Contrast) < ClearWithoutTurn)
            readings.AddRange(OfTurn(map, quad.With(1), grid).Select(r => r with { Score = r.Score - TurnCost }));
        return readings;
    }

    private static List<PlaceReading> OfTurn(EvidenceMap map, Quad quad, IntendedGrid grid)
    {
        (double X, double Y)[] corners = quad.Turned(quad.QuarterTurns);
        if (GridSight.Of(map, corners, grid) is not { } sight) return [];
        var readings = new List<PlaceReading> { Read(map, quad, grid.Size, corners, sight, [0, 0, 0, 0]) };
        double[] shifts = sight.BestShifts();
        if (shifts.Max(Math.Abs) >= MovedFromMm && Moved(corners, grid.Size, shifts) is { } moved)
            readings.Add(Read(map, quad, grid.Size, moved, sight, shifts));
        return readings;
    }

    private static PlaceReading Read(EvidenceMap map, Quad quad, BlockSize size, (double X, double Y)[] corners, GridSight sight, double[] shifts)
    {
        double[] support = [.. Enumerable.Range(0, 4).Select(side => SideSupport(map, corners, side))];
        ClothSight? cloth = ClothSight.Of(map, corners, size, ClothLooks);
        double contrast = sight.Contrast(shifts), ends = EndsOf(sight, shifts, cloth);
        double score = 0.4 * support.Average() + 0.8 * support.Min() + contrast + 0.55 * ends - 0.5 * quad.ShapeMisfit + (cloth?.Score ?? 0);
        return new PlaceReading(quad, corners, shifts.Any(s => s != 0), shifts, support.Average(), support.Min(), contrast, ends, score);
    }

    /// <summary>Largest distance from a corner to the other place's nearest corner, map pixels.</summary>
    public double DistanceTo(PlaceReading other) =>
        Corners.Max(a => other.Corners.Min(b => Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)))));

    /// <param name="cloth">The cloths about the place, where they are to count.</param>
    public static double EndsOf(GridSight sight, double[] shifts, ClothSight? cloth = null)
    {
        double clear = Math.Max(0, sight.OnLines - sight.Background);
        return Enumerable.Range(0, 4).Average(side => Math.Clamp(sight.EndsAt(side, shifts[side]) / (clear + 0.15), -1, 1) is double seen && cloth is not null ? cloth.End(side, seen) : seen);
    }

    /// <summary>Share of a side that shows a seam, at the best place within two pixels.</summary>
    private static double SideSupport(EvidenceMap map, (double X, double Y)[] corners, int side)
    {
        (double ax, double ay) = corners[side];
        (double bx, double by) = corners[(side + 1) & 3];
        double length = Math.Sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
        if (length < 4) return 0;
        double nx = -(by - ay) / length, ny = (bx - ax) / length, best = 0;
        int sector = EvidenceMap.SectorOf(Math.Atan2(ny, nx));
        int looks = (int)(length / 2);
        for (int o = -2; o <= 2; o++)
        {
            double sum = 0;
            for (int i = 0; i < looks; i++)
            {
                double t = (i + 0.5) / looks;
                sum += map.SeamNear(ax + t * (bx - ax) + o * nx, ay + t * (by - ay) + o * ny, sector);
            }
            best = Math.Max(best, sum / (255.0 * looks));
        }
        return best;
    }

    /// <summary>Corners after every side has been moved outward by its shift, in pixels of the map.</summary>
    public static (double X, double Y)[]? Moved((double X, double Y)[] corners, BlockSize size, double[] shifts)
    {
        try
        {
            Homography photo = Homography.FromFourPoints([.. size.Corners().Select(p => (p.Xmm, p.Ymm))], corners);
            double left = -shifts[3], top = -shifts[0], right = size.WidthMm + shifts[1], bottom = size.HeightMm + shifts[2];
            return [photo.Map(left, top), photo.Map(right, top), photo.Map(right, bottom), photo.Map(left, bottom)];
        }
        catch (ArgumentException)
        {
            return null;
        }
    }
}
