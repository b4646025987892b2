using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>Whether one cloth lies within a place, and whether it ends at the sides.</summary>
/// <param name="Within">For every side, how much the band just inside it has in common with the middle of the place, 0 to 1.</param>
/// <param name="Beyond">The same of the band just outside it.</param>
/// <param name="Across">How much the bands inside and outside a side have in common.</param>
internal sealed record ClothSight(double[] Within, double[] Beyond, double[] Across)
{
    /// <summary>The bands, by their distance from the side, mm: clear of the seam, and within a narrow binding.</summary>
    private const double FromMm = 2, ToMm = 9;

    /// <summary>Rim of the place that is not its middle, as a share, and ends of the bands that are left out.</summary>
    private const double InsetShare = 0.1, EndShare = 0.04;

    /// <summary>What a cloth plainly has in common with itself at least, and with another one at most.</summary>
    private const double PlainWithin = 0.6, PlainBeyond = 0.35;

    /// <summary>What the side least like the middle counts for, and what it costs when the cloth ends at one side and runs on across another.</summary>
    private const double WithinWeight = 0.6, UnevenCost = 0.3;

    /// <summary>What the cloths say for the place: one cloth within it, and its sides all of one kind, seams between two cloths or ditches within one.</summary>
    public double Score => ScoreOf(Within.Min(), Across.Max() - Across.Min());

    public static double ScoreOf(double leastWithin, double uneven) => WithinWeight * leastWithin - UnevenCost * uneven;

    /// <summary>Whether one cloth fills the place and plainly ends at all four sides.</summary>
    public bool EndsAllRound => Within.Min() > PlainWithin && Beyond.Max() < PlainBeyond;

    /// <summary>Stitching that does not end at a side speaks against it only as far as the cloth runs on there: where another cloth begins the maker may have stitched on into it, or its print looks like stitching.</summary>
    public double End(int side, double seen) => seen > 0 ? seen : seen * Beyond[side];

    /// <summary>The same for all sides together.</summary>
    public double Ends(double seen) => seen > 0 ? seen : seen * Beyond.Average();

    /// <param name="looks">Looks along a band.</param>
    public static ClothSight? Of(EvidenceMap map, (double X, double Y)[] corners, BlockSize size, int looks)
    {
        ProjectiveMap photo;
        try
        {
            photo = new ProjectiveMap(Homography.FromFourPoints([.. size.Corners().Select(p => (p.Xmm, p.Ymm))], corners).Rows);
        }
        catch (ArgumentException)
        {
            return null;
        }
        float[] middle = Middle(map.Cloths, photo, size, looks / 2);
        double[] within = new double[4], beyond = new double[4], across = new double[4];
        for (int side = 0; side < 4; side++)
        {
            float[] inner = Band(map.Cloths, photo, size, side, -ToMm, looks), outer = Band(map.Cloths, photo, size, side, FromMm, looks);
            within[side] = ClothMap.Common(inner, middle);
            beyond[side] = ClothMap.Common(outer, middle);
            across[side] = ClothMap.Common(outer, inner);
        }
        return new ClothSight(within, beyond, across);
    }

    public static float[] Middle(ClothMap cloths, in ProjectiveMap photo, BlockSize size, int looks)
    {
        Span<int> counts = stackalloc int[ClothMap.Kinds];
        for (int i = 0; i < looks; i++)
            for (int j = 0; j < looks; j++)
                Count(cloths, photo, size.WidthMm * Along(i, looks, InsetShare), size.HeightMm * Along(j, looks, InsetShare), counts);
        return cloths.Shares(counts);
    }

    /// <summary>A band as wide as the others, from an outward distance on.</summary>
    private static float[] Band(ClothMap cloths, in ProjectiveMap photo, BlockSize size, int side, double fromMm, int looks)
    {
        Span<int> counts = stackalloc int[ClothMap.Kinds];
        (BlockPoint start, double ux, double uy, double length) = SideStrip.Side(size, side);
        int wide = Math.Max(2, looks / 7);
        for (int i = 0; i < looks; i++)
            for (int j = 0; j < wide; j++)
            {
                double along = length * Along(i, looks, EndShare), outward = fromMm + (ToMm - FromMm) * (j + 0.5) / wide;
                Count(cloths, photo, start.Xmm + ux * along + uy * outward, start.Ymm + uy * along - ux * outward, counts);
            }
        return cloths.Shares(counts);
    }

    private static double Along(int look, int looks, double inset) => inset + (1 - 2 * inset) * (look + 0.5) / looks;

    public static void Count(ClothMap cloths, in ProjectiveMap photo, double xMm, double yMm, Span<int> counts)
    {
        (double x, double y) = photo.Map(xMm, yMm);
        int kind = cloths.KindAt(x, y);
        if (kind >= 0) counts[kind]++;
    }
}
