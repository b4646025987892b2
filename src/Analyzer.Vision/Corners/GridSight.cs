using System.Runtime.CompilerServices;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>Looks closely at one place: where the stitched lines lie beside the intended ones, and how far beyond the sides they run.</summary>
/// <remarks>
/// Every line is cut into pieces; each piece has a profile of ridge evidence against the distance beside its intended place. Moving one side of the
/// place moves every piece by a share that falls to nothing at the opposite side, so that the sides' best places can be read from the profiles alone.
/// </remarks>
internal sealed class GridSight
{
    private const double StepMm = 0.25, PieceMm = 35, SteepEnough = 0.42, LookMm = 12;
    private const float LateralMm = 1.0f;

    /// <summary>How far beside a line the ground is looked at, at most, mm.</summary>
    private const double AsideMm = 6;

    /// <summary>Places of the profile beyond a side that must lie in the picture for an end to be told.</summary>
    private const int LeastLooks = 5;

    /// <summary>A thread that wanders by this still counts as on its line, mm.</summary>
    private const double ToleranceMm = 0.9;

    /// <summary>Evidence that differs by less is the same.</summary>
    private const double Alike = 1e-6;

    private readonly BlockSize _size;
    private readonly double _reachMm;
    private readonly BowedSides _sides;
    private readonly List<Piece> _pieces = [];
    private double[][] _follows = [];
    private float[][] _profiles = [];
    private float[] _weights = [];
    private float _weight;
    private readonly double[][] _beyond = new double[4][];
    private double _background;

    private GridSight(BlockSize size, double reachMm, BowedSides sides)
    {
        _size = size;
        _reachMm = reachMm;
        _sides = sides;
    }

    /// <summary>A piece of an intended line: middle, direction across, length, evidence by offset.</summary>
    private sealed record Piece(double X, double Y, double AcrossX, double AcrossY, double Weight, float[] Profile)
    {
        /// <summary>By how much the piece moves across itself for a millimetre of outward shift of a side.</summary>
        public double Follows(int side, BlockSize size) => BowedSides.Follows(side, size, X, Y, AcrossX, AcrossY);
    }

    /// <summary>Mean evidence on the lines at the assumed place, 0..1.</summary>
    public double OnLines => Evidence([0, 0, 0, 0]);

    public double Background => _background;

    /// <summary>How clearly the intended lines stand out at the given outward shifts of top, right, bottom, left side (mm): -1 to 1.</summary>
    public double Contrast(double[] shifts) => Contrast(Evidence(shifts));

    /// <summary>The same for sides whose moves were worked out before.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double Contrast(float[] top, float[] right, float[] bottom, float[] left)
    {
        float sum = 0;
        float centre = MathF.Round((float)(_reachMm / StepMm)), ground = (float)_background;
        for (int i = 0; i < top.Length; i++)
        {
            float[] profile = _profiles[i];
            int at = (int)(centre + MathF.Round(top[i] + right[i] + bottom[i] + left[i]));
            sum += _weights[i] * ((uint)at < (uint)profile.Length ? profile[at] : ground);
        }
        return Contrast(sum / _weight);
    }

    /// <summary>By how many steps every piece moves when a side is shifted outward by one length where it starts and another where it ends, clockwise, and its middle by a bow more.</summary>
    public float[] Moves(int side, double startMm, double endMm, double bowMm)
    {
        var moves = new float[_pieces.Count];
        for (int i = 0; i < moves.Length; i++)
        {
            double along = (side & 1) == 0 ? _pieces[i].X / _size.WidthMm : _pieces[i].Y / _size.HeightMm;
            double shift = (side < 2 ? startMm + along * (endMm - startMm) : endMm + along * (startMm - endMm)) + BowedSides.Height(along) * bowMm;
            moves[i] = (float)(shift * _follows[i][side] / StepMm);
        }
        return moves;
    }

    private double Contrast(double on) => (on - _background) / (on + _background + 0.06);

    /// <param name="map">Evidence of the photo made small.</param>
    /// <param name="corners">The place, in pixels of the map.</param>
    /// <param name="sides">Straight unless given.</param>
    public static GridSight? Of(EvidenceMap map, (double X, double Y)[] corners, IntendedGrid grid, BowedSides? sides = null)
    {
        Homography photo;
        try
        {
            photo = Homography.FromFourPoints([.. grid.Size.Corners().Select(p => (p.Xmm, p.Ymm))], corners);
        }
        catch (ArgumentException)
        {
            return null;
        }
        double least = grid.Families.Min(f => f.SpacingMm);
        var sight = new GridSight(grid.Size, Math.Clamp(0.48 * least, 2, 10), sides ?? BowedSides.Straight(grid.Size));
        sight.Look(map, new ProjectiveMap(photo.Rows), grid);
        return sight._pieces.Count == 0 ? null : sight;
    }

    /// <summary>The outward shifts of the four sides at which the lines fit best, mm: first all alike, then each side for itself.</summary>
    public double[] BestShifts()
    {
        double[] best = [0, 0, 0, 0];
        double top = double.NegativeInfinity;
        double together = BestCommon();
        foreach (double common in together == 0 ? (double[])[0] : [0, together])
        {
            double[] shifts = [common, common, common, common];
            double score = Climb(shifts);
            if (score > top + 1e-9) (top, best) = (score, shifts);
        }
        return best;
    }

    /// <summary>Evidence within 5 mm inside the side less evidence within 5 mm outside it, with the side shifted outward; 0 where the picture ends before that can be told.</summary>
    public double EndsAt(int side, double shiftMm)
    {
        double[] sum = _beyond[side];
        int i = (int)Math.Round((shiftMm + LookMm) / StepMm), skip = 2, window = (int)(4.5 / StepMm);
        double inside = 0, outside = 0;
        int ni = 0, no = 0;
        for (int k = Math.Max(0, i - window); k < Math.Min(sum.Length, i - skip); k++) Add(k, ref inside, ref ni);
        for (int k = Math.Max(0, i + skip + 1); k < Math.Min(sum.Length, i + window); k++) Add(k, ref outside, ref no);
        return ni < LeastLooks || no < LeastLooks ? 0 : inside / ni - outside / no;

        void Add(int k, ref double total, ref int count)
        {
            if (double.IsNaN(sum[k])) return;
            total += sum[k];
            count++;
        }
    }

    private double BestCommon()
    {
        double best = 0, top = double.NegativeInfinity;
        for (double c = -_reachMm; c <= _reachMm + 1e-9; c += StepMm)
        {
            double score = Evidence([c, c, c, c]) - 0.001 * Math.Abs(c);
            if (score > top) (top, best) = (score, c);
        }
        return best;
    }

    private double Climb(double[] shifts)
    {
        double score = Evidence(shifts);
        double[] all = new double[(int)((2 * _reachMm / StepMm) + 1e-9) + 1];
        for (int round = 0; round < 6; round++)
        {
            double before = score;
            for (int side = 0; side < 4; side++)
            {
                EvidenceBySide(shifts, side, all);
                for (int k = 0; k < all.Length; k++)
                    if (all[k] > score + Alike) (score, shifts[side]) = (all[k], -_reachMm + k * StepMm);
            }
            if (score - before < 1e-6) break;
        }
        return score;
    }

    /// <summary>The evidence for every shift of one side, from one end of the reach to the other, with the other sides as they are.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void EvidenceBySide(double[] shifts, int side, double[] into)
    {
        Array.Clear(into);
        double centre = Math.Round(_reachMm / StepMm);
        for (int i = 0; i < _profiles.Length; i++)
        {
            double[] follows = _follows[i];
            double still = 0;
            for (int other = 0; other < 4; other++) still += other == side ? 0 : shifts[other] * follows[other];
            float at = (float)(still - _reachMm * follows[side]), move = (float)follows[side], ground = (float)_background, one = _weights[i];
            float[] profile = _profiles[i];
            for (int k = 0; k < into.Length; k++)
            {
                int place = (int)(centre + MathF.Round(at / (float)StepMm + k * move));
                into[k] += one * ((uint)place < (uint)profile.Length ? profile[place] : ground);
            }
        }
        for (int k = 0; k < into.Length; k++) into[k] /= _weight;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double Evidence(double[] shifts)
    {
        double sum = 0;
        int centre = (int)Math.Round(_reachMm / StepMm);
        for (int i = 0; i < _profiles.Length; i++)
        {
            double[] follows = _follows[i];
            int at = centre + (int)Math.Round((shifts[0] * follows[0] + shifts[1] * follows[1] + shifts[2] * follows[2] + shifts[3] * follows[3]) / StepMm);
            sum += _weights[i] * ((uint)at < (uint)_profiles[i].Length ? _profiles[i][at] : _background);
        }
        return sum / _weight;
    }

    private void Look(EvidenceMap map, in ProjectiveMap photo, IntendedGrid grid)
    {
        int bins = (int)(2 * LookMm / StepMm) + 1;
        var counts = new int[4][];
        for (int side = 0; side < 4; side++)
        {
            _beyond[side] = new double[bins];
            counts[side] = new int[bins];
        }
        double total = grid.Lines.Sum(l => l.LengthMm);
        int skip = Math.Max(1, (int)(total / 6000));
        double background = 0;
        for (int i = 0; i < grid.Lines.Count; i++)
        {
            GridLine line = grid.Lines[i];
            LineFamily family = grid.Families[line.Family];
            double length = line.LengthMm;
            if (length < 12 || i % skip != 0) continue;
            double ux = (line.To.Xmm - line.From.Xmm) / length, uy = (line.To.Ymm - line.From.Ymm) / length;
            int pieces = Math.Max(1, (int)Math.Round(length / PieceMm));
            for (int k = 0; k < pieces; k++)
            {
                double from = length * k / pieces, to = length * (k + 1) / pieces, mid = (from + to) / 2;
                float[] profile = Smooth(Profile(map, photo, line.From, ux, uy, family, from, to));
                _pieces.Add(new Piece(line.From.Xmm + mid * ux, line.From.Ymm + mid * uy, family.AcrossX, family.AcrossY, to - from, profile));
                background += (to - from) * profile.Average();
            }
            FollowEnd(map, photo, line.From, -ux, -uy, family, length, counts);
            FollowEnd(map, photo, line.To, ux, uy, family, length, counts);
        }
        _follows = [.. _pieces.Select(p => (double[])[p.Follows(0, _size), p.Follows(1, _size), p.Follows(2, _size), p.Follows(3, _size)])];
        _profiles = [.. _pieces.Select(p => p.Profile)];
        _weights = [.. _pieces.Select(p => (float)p.Weight)];
        _weight = _weights.Sum();
        _background = background / Math.Max(1e-9, _weight);
        for (int side = 0; side < 4; side++)
            for (int b = 0; b < bins; b++) _beyond[side][b] = counts[side][b] == 0 ? double.NaN : _beyond[side][b] / counts[side][b];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private float[] Profile(EvidenceMap map, in ProjectiveMap photo, BlockPoint start, double ux, double uy, LineFamily family, double from, double to)
    {
        int half = (int)Math.Round(_reachMm / StepMm);
        var profile = new float[2 * half + 1];
        // The ends' last millimetres are left out: there the seam itself is seen.
        double a = from + 1, b = to - 1;
        int looks = Math.Max(3, (int)((b - a) / 1.0));
        (double x0, double y0) = photo.Map(start.Xmm + a * ux, start.Ymm + a * uy);
        (double x1, double y1) = photo.Map(start.Xmm + b * ux, start.Ymm + b * uy);
        byte normal = EvidenceMap.DirectionOf(Math.Atan2(y1 - y0, x1 - x0) + Math.PI / 2);
        var seen = new int[profile.Length];
        for (int i = 0; i < looks; i++)
        {
            double t = a + (b - a) * (i + 0.5) / looks, x = start.Xmm + t * ux, y = start.Ymm + t * uy;
            double bent = _sides.AcrossMm(x, y, family.AcrossX, family.AcrossY), low = bent - _reachMm, high = bent + _reachMm;
            (double px, double py) = photo.Map(x + low * family.AcrossX, y + low * family.AcrossY);
            (double qx, double qy) = photo.Map(x + high * family.AcrossX, y + high * family.AcrossY);
            map.AddRidges((float)px, (float)py, (float)((qx - px) / (2 * half)), (float)((qy - py) / (2 * half)), normal, seen);
        }
        for (int k = 0; k < profile.Length; k++) profile[k] = seen[k] / (255f * looks);
        return profile;
    }

    /// <summary>Triangle kernel as wide as a thread may wander.</summary>
    private static float[] Smooth(float[] profile)
    {
        int half = (int)(ToleranceMm / StepMm);
        var result = new float[profile.Length];
        for (int i = 0; i < profile.Length; i++)
        {
            float sum = 0, weight = 0;
            for (int k = -half; k <= half; k++)
            {
                if ((uint)(i + k) >= (uint)profile.Length) continue;
                float w = half + 1 - Math.Abs(k);
                sum += w * profile[i + k];
                weight += w;
            }
            result[i] = sum / weight;
        }
        return result;
    }

    /// <summary>Adds the evidence along a line less that beside it, from inside its end to beyond it, by distance from the side it ends on.</summary>
    /// <remarks>The difference, so that a print, which shows on and beside the line alike, neither makes nor hides an end.</remarks>
    private void FollowEnd(EvidenceMap map, in ProjectiveMap photo, BlockPoint end, double outX, double outY, LineFamily family, double length, int[][] counts)
    {
        int side = SideOf(end, outX, outY, out double steep);
        if (side < 0 || steep < SteepEnough) return;
        (double x0, double y0) = photo.Map(end.Xmm, end.Ymm);
        (double x1, double y1) = photo.Map(end.Xmm - 5 * outX, end.Ymm - 5 * outY);
        byte normal = EvidenceMap.DirectionOf(Math.Atan2(y1 - y0, x1 - x0) + Math.PI / 2);
        // The line has moved across itself, and with it along the side; what is then left to the side is the way its end has moved along the line.
        double bent = _sides.AcrossMm(end.Xmm, end.Ymm, family.AcrossX, family.AcrossY);
        double outward = _sides.OutwardMm(side, end.Xmm, end.Ymm) - bent * BowedSides.Follows(side, _size, end.Xmm, end.Ymm, family.AcrossX, family.AcrossY);
        double inward = Math.Min(LookMm, 0.8 * length * steep), aside = Math.Min(AsideMm, family.SpacingMm / 2);
        for (int b = 0; b < _beyond[side].Length; b++)
        {
            double perp = -LookMm + b * StepMm, along = (perp + outward) / steep;
            if (perp < -inward) continue;
            double x = end.Xmm + along * outX + bent * family.AcrossX, y = end.Ymm + along * outY + bent * family.AcrossY;
            (double atX, double atY) = photo.Map(x, y);
            if (!map.IsInside(atX, atY)) continue;
            (double px, double py) = photo.Map(x + aside * family.AcrossX, y + aside * family.AcrossY);
            float sx = (float)((px - atX) / aside), sy = (float)((py - atY) / aside);
            _beyond[side][b] += (Brightest(0) - 0.5 * (Brightest(-(float)aside) + Brightest((float)aside))) / 255;
            counts[side][b]++;

            int Brightest(float from)
            {
                int best = 0;
                for (float o = from - (float)LateralMm; o <= from + LateralMm + 0.01f; o += LateralMm / 2) best = Math.Max(best, map.RidgeAt((float)atX + o * sx, (float)atY + o * sy, normal));
                return best;
            }
        }
    }

    private int SideOf(BlockPoint p, double outX, double outY, out double steep)
    {
        const double near = 0.01;
        (int side, double s) = Math.Abs(p.Ymm) < near && outY < 0 ? (0, -outY) : Math.Abs(p.Xmm - _size.WidthMm) < near && outX > 0 ? (1, outX)
            : Math.Abs(p.Ymm - _size.HeightMm) < near && outY > 0 ? (2, outY) : Math.Abs(p.Xmm) < near && outX < 0 ? (3, -outX) : (-1, 0.0);
        steep = s;
        return side;
    }
}
