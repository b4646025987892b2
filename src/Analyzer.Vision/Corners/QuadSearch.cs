using System.Runtime.CompilerServices;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>Puts seams together to four-sided shapes the block could have.</summary>
internal static class QuadSearch
{
    /// <summary>Smallest share of the picture a block may fill, and shortest side as a share of the shorter side of the picture.</summary>
    private const double LeastArea = 0.05, LeastSide = 0.18;

    /// <summary>Largest misfit of shape: a block stitched out of square and a lens that bends stay below this.</summary>
    public const double MostMisfit = 0.09;

    /// <summary>A corner may lie this share of the picture outside it: the block is then cut off, which is said, not hidden.</summary>
    private const double Outside = 0.01;

    /// <summary>A side of which less than this share shows a seam is no side.</summary>
    private const double LeastSupport = 0.35;

    /// <summary>By how much the distances of two pairs of lines, taken in the picture's middle, may differ from the sides' true ratio, as a logarithm.</summary>
    private const double MostUnlike = MostForeshortening + 0.15;

    /// <summary>Largest foreshortening, as a logarithm: a tilt of 35 degrees and what perspective adds.</summary>
    private const double MostForeshortening = 0.25;

    public static List<Quad> Find(EvidenceMap map, List<SeamLine> lines, BlockSize size, double? focalPx, int most, double leastArea = LeastArea, double leastSide = LeastSide)
    {
        List<Pair> pairs = ParallelPairs(map, lines, leastSide);
        Crossing[] meets = Crossings(map, lines);
        int n = lines.Count;
        var places = new int[n * n];
        for (int p = 0; p < pairs.Count; p++) places[pairs[p].A * n + pairs[p].B] = p + 1;
        var wanted = new Wanted(size.WidthMm / size.HeightMm, focalPx, leastArea, leastSide);
        var found = new List<Quad>();
        object gate = new();
        Parallel.For(0, pairs.Count, () => new List<Quad>(), (first, _, mine) =>
        {
            JoinAll(map, lines, meets, pairs, places, first, wanted, mine);
            return mine;
        }, mine =>
        {
            lock (gate) found.AddRange(mine);
        });
        found.Sort((p, q) => Promise(q).CompareTo(Promise(p)));
        return found.Count > most ? found[..most] : found;
    }

    /// <summary>Proportions, focal length where known, and the smallest area and side as shares of the picture.</summary>
    private sealed record Wanted(double Aspect, double? FocalPx, double LeastArea, double LeastSide);

    /// <summary>Two nearly parallel lines and the logarithm of their distance at the picture's middle.</summary>
    private readonly record struct Pair(int A, int B, double LogGap);

    /// <summary>Where line i meets line j; Along is the place on line i, NaN where they do not meet within the picture.</summary>
    private readonly record struct Crossing(double X, double Y, double Along);

    /// <summary>Joins a pair with every later one: first the lines that show a seam from one line of the pair to the other, then those of them that are a pair.</summary>
    /// <param name="places">Of every two lines the place of their pair in the list, from 1; 0 where they are none.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void JoinAll(EvidenceMap map, List<SeamLine> lines, Crossing[] meets, List<Pair> pairs, int[] places, int first, Wanted wanted, List<Quad> into)
    {
        int n = lines.Count, bridges = 0;
        (int pa, int pb, double logGap) = pairs[first];
        double logAspect = Math.Abs(Math.Log(wanted.Aspect));
        Span<int> bridge = stackalloc int[n];
        Span<double> shown = stackalloc double[n];
        for (int q = 0; q < n; q++)
        {
            if (double.IsNaN(meets[pa * n + q].Along) || double.IsNaN(meets[pb * n + q].Along)) continue;
            double support = lines[q].Support(meets[q * n + pa].Along, meets[q * n + pb].Along);
            if (support < LeastSupport) continue;
            (bridge[bridges], shown[bridges]) = (q, support);
            bridges++;
        }
        for (int i = 0; i < bridges; i++)
            for (int j = i + 1; j < bridges; j++)
            {
                int qa = bridge[i], qb = bridge[j], second = places[qa * n + qb] - 1;
                if (second <= first || Math.Abs(Math.Abs(logGap - pairs[second].LogGap) - logAspect) > MostUnlike) continue;
                Crossing aa = meets[pa * n + qa], ab = meets[pa * n + qb], ba = meets[pb * n + qa], bb = meets[pb * n + qb];
                double onPa = lines[pa].Support(aa.Along, ab.Along);
                if (onPa < LeastSupport) continue;
                double onPb = lines[pb].Support(ba.Along, bb.Along);
                if (onPb < LeastSupport) continue;
                if (Join(map, [(aa.X, aa.Y), (ab.X, ab.Y), (bb.X, bb.Y), (ba.X, ba.Y)], [onPa, onPb, shown[i], shown[j]], wanted) is { } quad) into.Add(quad);
            }
    }

    private static double Promise(Quad q) => q.MeanSupport + q.LeastSupport + 0.6 * Math.Sqrt(q.AreaShare) - 2 * q.ShapeMisfit;

    private static List<Pair> ParallelPairs(EvidenceMap map, List<SeamLine> lines, double leastSide)
    {
        double cx = map.Width / 2.0, cy = map.Height / 2.0, least = leastSide * Math.Min(map.Width, map.Height);
        var pairs = new List<Pair>();
        for (int i = 0; i < lines.Count; i++)
            for (int j = i + 1; j < lines.Count; j++)
            {
                double cos = lines[i].Cos * lines[j].Cos + lines[i].Sin * lines[j].Sin;
                if (Math.Abs(cos) < 0.88) continue;
                double a = lines[i].Rho - lines[i].Cos * cx - lines[i].Sin * cy, b = lines[j].Rho - lines[j].Cos * cx - lines[j].Sin * cy;
                double gap = Math.Abs(a - Math.Sign(cos) * b);
                if (gap >= least) pairs.Add(new Pair(i, j, Math.Log(gap)));
            }
        return pairs;
    }

    private static Crossing[] Crossings(EvidenceMap map, List<SeamLine> lines)
    {
        double mx = Outside * map.Width, my = Outside * map.Height;
        int n = lines.Count;
        var meets = new Crossing[n * n];
        for (int i = 0; i < n; i++)
            for (int j = 0; j < n; j++)
            {
                meets[i * n + j] = new Crossing(0, 0, double.NaN);
                if (i != j && lines[i].Meets(lines[j]) is { } p && p.X > -mx && p.Y > -my && p.X < map.Width - 1 + mx && p.Y < map.Height - 1 + my)
                    meets[i * n + j] = new Crossing(p.X, p.Y, lines[i].Along(p.X, p.Y));
            }
        return meets;
    }

    private static Quad? Join(EvidenceMap map, ReadOnlySpan<(double X, double Y)> points, ReadOnlySpan<double> support, Wanted wanted)
    {
        (double aspect, double? focalPx, double leastArea, double leastSide) = wanted;
        double area = Area(points) / ((double)map.Width * map.Height);
        if (area < leastArea || !IsConvex(points)) return null;
        double side = leastSide * Math.Min(map.Width, map.Height);
        for (int i = 0; i < 4; i++)
            if (Distance(points[i], points[(i + 1) & 3]) < side) return null;
        (double X, double Y)[] corners = Ordered(points);
        double seen = (Distance(corners[0], corners[1]) + Distance(corners[3], corners[2])) / (Distance(corners[0], corners[3]) + Distance(corners[1], corners[2]));
        double stretch = Math.Min(Math.Abs(Math.Log(seen / aspect)), Math.Abs(Math.Log(seen * aspect)));
        if (stretch > MostForeshortening) return null;
        double misfit = ShapeCheck.Misfit(corners, aspect, map, focalPx);
        double turned = aspect == 1 ? misfit : ShapeCheck.Misfit(corners, 1 / aspect, map, focalPx);
        if (Math.Min(misfit, turned) > MostMisfit) return null;
        double mean = 0, least = 1;
        foreach (double s in support) (mean, least) = (mean + s / 4, Math.Min(least, s));
        return new Quad
        {
            At = corners,
            MeanSupport = mean,
            LeastSupport = least,
            ShapeMisfit = Math.Min(misfit, turned),
            AreaShare = area,
            QuarterTurns = misfit <= turned || misfit < 0.03 ? 0 : 1,
        };
    }

    /// <summary>Clockwise as seen, starting at the corner that is most to the top left. The points come in order round the shape.</summary>
    public static (double X, double Y)[] Ordered(ReadOnlySpan<(double X, double Y)> points)
    {
        double cx = (points[0].X + points[1].X + points[2].X + points[3].X) / 4, cy = (points[0].Y + points[1].Y + points[2].Y + points[3].Y) / 4;
        (double X, double Y)[] round = [.. points];
        double turn = (round[1].X - round[0].X) * (round[2].Y - round[1].Y) - (round[1].Y - round[0].Y) * (round[2].X - round[1].X);
        if (turn < 0) Array.Reverse(round);
        int first = 0;
        double best = double.MaxValue;
        for (int i = 0; i < 4; i++)
        {
            // The top side is the one whose outward direction points up most.
            (double X, double Y) a = round[i], b = round[(i + 1) & 3];
            double up = (a.Y + b.Y) / 2 - cy, length = Distance(((a.X + b.X) / 2, (a.Y + b.Y) / 2), (cx, cy));
            if (up / length < best) { best = up / length; first = i; }
        }
        return [round[first], round[(first + 1) & 3], round[(first + 2) & 3], round[(first + 3) & 3]];
    }

    private static double Distance((double X, double Y) a, (double X, double Y) b) => Math.Sqrt((a.X - b.X) * (a.X - b.X) + (a.Y - b.Y) * (a.Y - b.Y));

    public static double Area(ReadOnlySpan<(double X, double Y)> p)
    {
        double sum = 0;
        for (int i = 0; i < 4; i++) sum += p[i].X * p[(i + 1) & 3].Y - p[(i + 1) & 3].X * p[i].Y;
        return Math.Abs(sum) / 2;
    }

    public static bool IsConvex(ReadOnlySpan<(double X, double Y)> p)
    {
        double turn = 0;
        for (int i = 0; i < 4; i++)
        {
            (double X, double Y) a = p[i], b = p[(i + 1) & 3], c = p[(i + 2) & 3];
            double here = (b.X - a.X) * (c.Y - b.Y) - (b.Y - a.Y) * (c.X - b.X);
            if (here == 0 || here * turn < 0) return false;
            turn = here;
        }
        return true;
    }
}
