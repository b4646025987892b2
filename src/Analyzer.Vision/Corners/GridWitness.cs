using System.Runtime.CompilerServices;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>Asks the stitched lines whether a quad is the block: they lie on the intended grid and end at the ditch.</summary>
internal sealed class GridWitness
{
    /// <summary>How far beside a line's end the ground is looked at, at most, mm.</summary>
    private const double MostAsideMm = 6;

    /// <summary>With fewer samples to a line its ends are looked at half as often too.</summary>
    private const int QuickSamples = 30;

    private readonly BlockSize _size;
    private readonly List<(BlockPoint From, BlockPoint To, double AcrossX, double AcrossY, double Spacing)> _lines = [];

    public GridWitness(IntendedGrid grid, int mostLines)
    {
        _size = grid.Size;
        List<GridLine> useful = [.. grid.Lines.Where(l => l.LengthMm > 25)];
        if (useful.Count == 0) useful = [.. grid.Lines];
        int step = Math.Max(1, (int)Math.Ceiling(useful.Count / (double)mostLines));
        for (int i = 0; i < useful.Count; i += step)
        {
            LineFamily family = grid.Families[useful[i].Family];
            _lines.Add((useful[i].From, useful[i].To, family.AcrossX, family.AcrossY, family.SpacingMm));
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public GridEvidence Ask(EvidenceMap map, (double X, double Y)[] corners, int samples)
    {
        ProjectiveMap photo;
        try
        {
            photo = new ProjectiveMap(Homography.FromFourPoints([.. _size.Corners().Select(p => (p.Xmm, p.Ymm))], corners).Rows);
        }
        catch (ArgumentException)
        {
            return default;
        }
        double on = 0, between = 0, inside = 0, outside = 0;
        int count = 0, betweenCount = 0, ends = 0;
        foreach ((BlockPoint from, BlockPoint to, double nx, double ny, double spacing) in _lines)
        {
            double length = from.DistanceTo(to), ux = (to.Xmm - from.Xmm) / length, uy = (to.Ymm - from.Ymm) / length;
            int sector = Sector(photo, from, to);
            int looks = Math.Max(4, (int)(samples * length / _size.WidthMm));
            for (int i = 0; i < looks; i++)
            {
                double t = length * (i + 0.5) / looks;
                double x = from.Xmm + t * ux, y = from.Ymm + t * uy;
                on += Look(map, photo, x, y, sector);
                count++;
                double side = (i & 1) == 0 ? spacing / 2 : -spacing / 2;
                double bx = x + nx * side, by = y + ny * side;
                if (bx < 2 || by < 2 || bx > _size.WidthMm - 2 || by > _size.HeightMm - 2) continue;
                between += Look(map, photo, bx, by, sector);
                betweenCount++;
            }
            double reach = Math.Min(12, length / 3);
            double aside = Math.Min(MostAsideMm, spacing / 2), step = samples < QuickSamples ? 3.8 : 1.9;
            for (double d = 2.5; d <= reach; d += step)
            {
                aside = -aside;
                inside += OnLess(from, d) + OnLess(to, -d);
                outside += OnLess(from, -d) + OnLess(to, d);
                ends += 2;
            }

            // On the line less beside it: a print shows on both alike.
            double OnLess(BlockPoint end, double d) =>
                Look(map, photo, end.Xmm + d * ux, end.Ymm + d * uy, sector) - Look(map, photo, end.Xmm + d * ux + aside * nx, end.Ymm + d * uy + aside * ny, sector);
        }
        return new GridEvidence(on / Math.Max(1, count), between / Math.Max(1, betweenCount), (inside - outside) / Math.Max(1, ends));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static double Look(EvidenceMap map, in ProjectiveMap photo, double xMm, double yMm, int sector)
    {
        (double x, double y) = photo.Map(xMm, yMm);
        return map.RidgeNear(x, y, sector) / 255.0;
    }

    private static int Sector(in ProjectiveMap photo, BlockPoint from, BlockPoint to)
    {
        (double ax, double ay) = photo.Map(from.Xmm, from.Ymm);
        (double bx, double by) = photo.Map(to.Xmm, to.Ymm);
        return EvidenceMap.SectorOf(Math.Atan2(by - ay, bx - ax) + Math.PI / 2);
    }
}

/// <summary>Nine numbers of a homography on the stack, for the many look-ups of the finder.</summary>
internal readonly struct ProjectiveMap(IReadOnlyList<double> m)
{
    private readonly double _a = m[0], _b = m[1], _c = m[2], _d = m[3], _e = m[4], _f = m[5], _g = m[6], _h = m[7], _i = m[8];

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public (double X, double Y) Map(double x, double y)
    {
        double w = 1 / (_g * x + _h * y + _i);
        return ((_a * x + _b * y + _c) * w, (_d * x + _e * y + _f) * w);
    }
}
