using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>Places of the block told by the stitched lines alone, for photos in which its sides are not among the seams: a faint ditch, or a print and a mat with bolder lines than the block's.</summary>
/// <remarks>
/// Lines at even distances make combs. Two combs that cross as two families of the intended grid do tell how the block's plane is seen, up to whole steps of the grid;
/// of all steps those places are kept where the lines show best and end at the sides.
/// </remarks>
internal static class LatticeSearch
{
    private const int MostLines = 400, MostCombs = 60, MostOfOneDirection = 8, MostAsked = 20_000, Most = 40;

    /// <summary>Lines of one comb lie within this of its direction; directions are tried in such steps, degrees.</summary>
    private const double WithinDeg = 8, StepDeg = 6;

    /// <summary>How far a line may lie from where the two before it put it, as a share of their distance, and how much its direction may differ from what they promise, degrees.</summary>
    private const double OffShare = 0.15, TurnDeg = 2;

    private const int FewestTeeth = 4;

    /// <summary>Smallest shorter side of a block as a share of the picture's shorter side, and area as a share of the picture.</summary>
    private const double LeastSide = 0.18, LeastArea = 0.05;

    /// <summary>Two combs' distances may differ from their families' by this (logarithm), and their angle by this: a camera's tilt. Teeth and lines of the grid must overlap by a share.</summary>
    private const double MostUnlike = 0.4, MostAngleDeg = 20, LeastOverlap = 0.6;

    /// <summary>Lines at even distances: teeth by their number in it, best first; Gap is the distance of two, px.</summary>
    private sealed record Comb(List<(int Number, SeamLine Line)> Teeth, double Gap, double AngleRad, double Score)
    {
        public int Span => Teeth[^1].Number;
    }

    public static List<Quad> Find(EvidenceMap map, IntendedGrid grid, double? focalPx)
    {
        if (grid.Families.Count < 2) return [];
        List<SeamLine> lines = SeamSearch.Find(map, MostLines);
        double shorter = Math.Min(map.Width, map.Height), longer = Math.Max(map.Width, map.Height);
        double leastScale = LeastSide * shorter / Math.Max(grid.Size.WidthMm, grid.Size.HeightMm), mostScale = longer / Math.Min(grid.Size.WidthMm, grid.Size.HeightMm);
        double leastGap = Math.Max(4, leastScale * grid.Families.Min(f => f.SpacingMm)), mostGap = mostScale * grid.Families.Max(f => f.SpacingMm);
        var all = new List<Comb>();
        object gate = new();
        Parallel.For(0, (int)(180 / StepDeg), k =>
        {
            List<Comb> mine = Combs(map, lines, k * StepDeg * Math.PI / 180, leastGap, mostGap);
            lock (gate) all.AddRange(mine);
        });
        List<Comb> combs = Distinct(all);
        var places = new List<Hypothesis>();
        for (int i = 0; i < combs.Count; i++)
            for (int j = 0; j < combs.Count; j++)
                if (i != j) AddPlaces(map, grid, combs[i], combs[j], leastScale, places);
        if (places.Count > MostAsked) places = [.. places.OrderByDescending(p => p.Promise).Take(MostAsked)];
        return Best(map, grid, places, focalPx);
    }

    /// <summary>A place, and how much speaks for its two combs.</summary>
    private readonly record struct Hypothesis((double X, double Y)[] Corners, double Promise);

    private static List<Comb> Combs(EvidenceMap map, List<SeamLine> lines, double angle, double leastGap, double mostGap)
    {
        (double ny, double nx) = Math.SinCos(angle);
        double cx = map.Width / 2.0, cy = map.Height / 2.0;
        var near = new List<(double T, double Turn, SeamLine Line)>();
        foreach (SeamLine line in lines)
        {
            double cos = line.Cos * nx + line.Sin * ny, sin = line.Sin * nx - line.Cos * ny, turn = Math.Atan(sin / cos);
            if (Math.Abs(cos) < 0.5 || Math.Abs(turn) > WithinDeg * Math.PI / 180) continue;
            near.Add(((line.Rho - line.Cos * cx - line.Sin * cy) / cos, turn, line));
        }
        near.Sort((a, b) => a.T.CompareTo(b.T));
        double[] at = [.. near.Select(n => n.T)];
        var known = new HashSet<(int, int)>();
        var combs = new List<Comb>();
        for (int i = 0; i < near.Count; i++)
            for (int j = i + 1; j < near.Count && at[j] - at[i] <= mostGap; j++)
            {
                if (at[j] - at[i] < leastGap || Math.Abs(near[j].Turn - near[i].Turn) > 2 * TurnDeg * Math.PI / 180 || known.Contains((i, j))) continue;
                List<(int Number, int Place)> teeth = [(0, i), (1, j)];
                Grow(teeth, +1);
                Grow(teeth, -1);
                if (teeth.Count < FewestTeeth) continue;
                for (int k = 1; k < teeth.Count; k++) known.Add((teeth[k - 1].Place, teeth[k].Place));
                int first = teeth[0].Number, span = teeth[^1].Number - first;
                double fill = teeth.Count / (span + 1.0);
                combs.Add(new Comb([.. teeth.Select(t => (t.Number - first, near[t.Place].Line))], (at[teeth[^1].Place] - at[teeth[0].Place]) / span, angle, teeth.Count * fill * fill));
            }
        combs.Sort((a, b) => b.Score.CompareTo(a.Score));
        return combs.Count > MostOfOneDirection ? combs[..MostOfOneDirection] : combs;

        // Adds teeth at one end as long as there is one where the last two put it, or one farther on.
        void Grow(List<(int Number, int Place)> teeth, int way)
        {
            while (true)
            {
                ((int n0, int p0), (int n1, int p1)) = way > 0 ? (teeth[^2], teeth[^1]) : (teeth[1], teeth[0]);
                double gap = Math.Abs((at[p1] - at[p0]) / (n1 - n0)), turn = (near[p1].Turn - near[p0].Turn) / Math.Abs(n1 - n0);
                int next = Nearest(at[p1] + way * gap, OffShare * gap, near[p1].Turn + turn), number = n1 + way;
                if (next < 0) (next, number) = (Nearest(at[p1] + 2 * way * gap, 1.5 * OffShare * gap, near[p1].Turn + 2 * turn), n1 + 2 * way);
                if (next < 0) return;
                if (way > 0) teeth.Add((number, next));
                else teeth.Insert(0, (number, next));
            }
        }

        int Nearest(double t, double reach, double turn)
        {
            int low = Array.BinarySearch(at, t - reach), best = -1;
            if (low < 0) low = ~low;
            for (int k = low; k < at.Length && at[k] <= t + reach; k++)
                if (Math.Abs(near[k].Turn - turn) < TurnDeg * Math.PI / 180 && (best < 0 || Math.Abs(at[k] - t) < Math.Abs(at[best] - t))) best = k;
            return best;
        }
    }

    /// <summary>Best first, without those that share most of their teeth with a better one.</summary>
    private static List<Comb> Distinct(List<Comb> all)
    {
        var kept = new List<Comb>();
        foreach (Comb comb in all.OrderByDescending(c => c.Score))
        {
            if (kept.Count == MostCombs) break;
            HashSet<SeamLine> own = [.. comb.Teeth.Select(t => t.Line)];
            if (!kept.Any(k => Math.Abs(Math.Log(k.Gap / comb.Gap)) < 0.2 && k.Teeth.Count(t => own.Contains(t.Line)) > 0.6 * own.Count)) kept.Add(comb);
        }
        return kept;
    }

    /// <summary>All places at which two combs are two families of the grid.</summary>
    private static void AddPlaces(EvidenceMap map, IntendedGrid grid, Comb a, Comb b, double leastScale, List<Hypothesis> into)
    {
        double crossing = AngleBetween(a.Teeth[0].Line.ThetaRad, b.Teeth[0].Line.ThetaRad);
        for (int fa = 0; fa < grid.Families.Count; fa++)
            for (int fb = 0; fb < grid.Families.Count; fb++)
            {
                // Two combs are asked both ways round by the caller.
                if (fa >= fb) continue;
                LineFamily one = grid.Families[fa], two = grid.Families[fb];
                if (Math.Abs(Math.Log(a.Gap / b.Gap * two.SpacingMm / one.SpacingMm)) > MostUnlike) continue;
                if (Math.Abs(crossing - IntendedGrid.AngleBetweenDeg(one, two)) > MostAngleDeg) continue;
                foreach (int sa in (int[])[1, -1])
                    foreach (int sb in (int[])[1, -1])
                        if (View(map, a, b, one, two, sa, sb) is { } photo) AddSteps(map, grid, photo, (fa, sa, a), (fb, sb, b), leastScale, into);
            }
    }

    private static double AngleBetween(double theta1, double theta2)
    {
        double d = Math.Abs(theta1 - theta2) * 180 / Math.PI % 180;
        return Math.Min(d, 180 - d);
    }

    /// <summary>The plane as seen when tooth 0 of each comb is line 0 of its family; null where that is no view from above.</summary>
    private static Homography? View(EvidenceMap map, Comb a, Comb b, LineFamily one, LineFamily two, int sa, int sb)
    {
        // About the middle of the lines, in units of the picture and of the lines' reach, so that the sums are well scaled.
        (double bx, double by) = Meet(one, two, one.AcrossOfLine(0) + sa * a.Span * one.SpacingMm / 2, two.AcrossOfLine(0) + sb * b.Span * two.SpacingMm / 2);
        double reach = Math.Max(a.Span * one.SpacingMm, b.Span * two.SpacingMm), unit = Math.Max(map.Width, map.Height) / 2.0, cx = map.Width / 2.0, cy = map.Height / 2.0;
        var sums = new double[8, 8];
        var right = new double[8];
        if (!Add(a, b, one, sa) || !Add(b, a, two, sb)) return null;
        double[,] inverse = Matrices.Inverse(sums);
        var g = new double[9];
        g[8] = 1;
        for (int r = 0; r < 8; r++)
            for (int k = 0; k < 8; k++) g[r] += inverse[r, k] * right[k];
        try
        {
            var blockFromUnits = new Homography([reach, 0, bx, 0, reach, by, 0, 0, 1]).After(new Homography(g));
            Homography photo = blockFromUnits.After(new Homography([1 / unit, 0, -cx / unit, 0, 1 / unit, -cy / unit, 0, 0, 1])).Inverse();
            (double xx, double xy, double yx, double yy) = photo.Jacobian(bx, by);
            // Not mirrored, and what is up in the block not down in the photo: (0, -1) goes to (-xy, -yy).
            return xx * yy - xy * yx > 0 && -yy < 0.17 * Math.Sqrt(xy * xy + yy * yy) ? photo : null;
        }
        catch (ArgumentException)
        {
            return null;
        }

        // Both ends of every tooth must lie on its line of the block: linear in the map from the picture to the block.
        bool Add(Comb comb, Comb other, LineFamily family, int sign)
        {
            foreach ((int number, SeamLine line) in comb.Teeth)
                foreach (SeamLine end in (SeamLine[])[other.Teeth[0].Line, other.Teeth[^1].Line])
                {
                    if (line.Meets(end) is not { } at) return false;
                    double x = (at.X - cx) / unit, y = (at.Y - cy) / unit;
                    double c = (family.AcrossOfLine(sign * number) - family.AcrossX * bx - family.AcrossY * by) / reach;
                    ReadOnlySpan<double> row = [family.AcrossX * x, family.AcrossX * y, family.AcrossX, family.AcrossY * x, family.AcrossY * y, family.AcrossY, -c * x, -c * y];
                    for (int r = 0; r < 8; r++)
                    {
                        right[r] += row[r] * c;
                        for (int k = 0; k < 8; k++) sums[r, k] += row[r] * row[k];
                    }
                }
            return true;
        }
    }

    /// <summary>Where two lines of two families meet, block mm.</summary>
    private static (double X, double Y) Meet(LineFamily one, LineFamily two, double acrossOne, double acrossTwo)
    {
        double det = one.AcrossX * two.AcrossY - one.AcrossY * two.AcrossX;
        return ((acrossOne * two.AcrossY - one.AcrossY * acrossTwo) / det, (one.AcrossX * acrossTwo - acrossOne * two.AcrossX) / det);
    }

    private static void AddSteps(EvidenceMap map, IntendedGrid grid, Homography photo, (int Family, int Sign, Comb Comb) a, (int Family, int Sign, Comb Comb) b, double leastScale, List<Hypothesis> into)
    {
        LineFamily one = grid.Families[a.Family], two = grid.Families[b.Family];
        (int fromA, int toA) = Steps(grid, a);
        (int fromB, int toB) = Steps(grid, b);
        double marginX = 0.02 * map.Width, marginY = 0.02 * map.Height;
        for (int qa = fromA; qa <= toA; qa++)
            for (int qb = fromB; qb <= toB; qb++)
            {
                // Tooth 0 is line qa of its family, so the block lies that many steps back.
                (double sx, double sy) = Meet(one, two, qa * one.SpacingMm, qb * two.SpacingMm);
                (double X, double Y)[] corners = [.. grid.Size.Corners().Select(p => photo.Map(p.Xmm - sx, p.Ymm - sy))];
                if (corners.Any(p => !(p.X > -marginX && p.Y > -marginY && p.X < map.Width + marginX && p.Y < map.Height + marginY))) continue;
                if (QuadSearch.Area(corners) < LeastArea * map.Width * map.Height || !QuadSearch.IsConvex(corners)) continue;
                into.Add(new Hypothesis(corners, a.Comb.Score + b.Comb.Score));
            }
    }

    /// <summary>Lines that tooth 0 may be, so that teeth and lines overlap.</summary>
    private static (int From, int To) Steps(IntendedGrid grid, (int Family, int Sign, Comb Comb) of)
    {
        int least = int.MaxValue, most = int.MinValue;
        foreach (GridLine line in grid.Lines)
            if (line.Family == of.Family) (least, most) = (Math.Min(least, line.Index), Math.Max(most, line.Index));
        if (least > most) return (0, -1);
        int span = of.Comb.Span, overlap = (int)Math.Ceiling(LeastOverlap * Math.Min(span + 1, most - least + 1));
        // Teeth cover [q, q + span] or, counted the other way, [q - span, q].
        (int from, int to) = (least - span + overlap - 1, most - overlap + 1);
        return of.Sign > 0 ? (from, to) : (from + span, to + span);
    }

    /// <summary>The places whose lines show best and end at their sides.</summary>
    private static List<Quad> Best(EvidenceMap map, IntendedGrid grid, List<Hypothesis> places, double? focalPx)
    {
        double aspect = grid.Size.WidthMm / grid.Size.HeightMm;
        var witness = new GridWitness(grid, 16);
        var quads = new Quad?[places.Count];
        Parallel.For(0, places.Count, i =>
        {
            (double X, double Y)[] corners = places[i].Corners;
            double misfit = ShapeCheck.Misfit(corners, aspect, map, focalPx);
            if (misfit > QuadSearch.MostMisfit) return;
            GridEvidence seen = witness.Ask(map, corners, 14);
            (double X, double Y)[] ordered = QuadSearch.Ordered(corners);
            quads[i] = new Quad
            {
                At = ordered,
                ShapeMisfit = misfit,
                AreaShare = QuadSearch.Area(corners) / ((double)map.Width * map.Height),
                QuarterTurns = Array.IndexOf(ordered, corners[0]),
                Grid = seen,
                Score = seen.Contrast + seen.Ends - 0.5 * misfit,
            };
        });
        return [.. quads.OfType<Quad>().OrderByDescending(q => q.Score).Take(Most)];
    }
}
