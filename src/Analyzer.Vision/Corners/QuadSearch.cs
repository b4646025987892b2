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

    public static List<Quad> Find(EvidenceMap map, List<SeamLine> lines, BlockSize size, double? focalPx, int most)
    {
        var pairs = ParallelPairs(map, lines);
        var meets = Crossings(map, lines);
        double aspect = size.WidthMm / size.HeightMm;
        var found = new List<Quad>();
        object gate = new();
        Parallel.For(0, pairs.Count, first =>
        {
            var mine = new List<Quad>();
            for (int second = first + 1; second < pairs.Count; second++)
                if (Join(map, lines, meets, pairs[first], pairs[second], aspect, focalPx) is { } quad) mine.Add(quad);
            lock (gate) found.AddRange(mine);
        });
        found.Sort((p, q) => Promise(q).CompareTo(Promise(p)));
        return found.Count > most ? found[..most] : found;
    }

    private static double Promise(Quad q) => q.MeanSupport + q.LeastSupport + 0.3 * Math.Sqrt(q.AreaShare) - 2 * q.ShapeMisfit;

    private static List<(int A, int B)> ParallelPairs(EvidenceMap map, List<SeamLine> lines)
    {
        double cx = map.Width / 2.0, cy = map.Height / 2.0, least = LeastSide * Math.Min(map.Width, map.Height);
        var pairs = new List<(int, int)>();
        for (int i = 0; i < lines.Count; i++)
            for (int j = i + 1; j < lines.Count; j++)
            {
                double cos = lines[i].Cos * lines[j].Cos + lines[i].Sin * lines[j].Sin;
                if (Math.Abs(cos) < 0.88) continue;
                double a = lines[i].Rho - lines[i].Cos * cx - lines[i].Sin * cy, b = lines[j].Rho - lines[j].Cos * cx - lines[j].Sin * cy;
                if (Math.Abs(a - Math.Sign(cos) * b) >= least) pairs.Add((i, j));
            }
        return pairs;
    }

    private static (double X, double Y)?[,] Crossings(EvidenceMap map, List<SeamLine> lines)
    {
        double mx = Outside * map.Width, my = Outside * map.Height;
        var meets = new (double X, double Y)?[lines.Count, lines.Count];
        for (int i = 0; i < lines.Count; i++)
            for (int j = 0; j < lines.Count; j++)
                if (i != j && lines[i].Meets(lines[j]) is { } p && p.X > -mx && p.Y > -my && p.X < map.Width - 1 + mx && p.Y < map.Height - 1 + my)
                    meets[i, j] = p;
        return meets;
    }

    private static Quad? Join(EvidenceMap map, List<SeamLine> lines, (double X, double Y)?[,] meets, (int A, int B) p, (int A, int B) q, double aspect, double? focalPx)
    {
        if (meets[p.A, q.A] is not { } aa || meets[p.A, q.B] is not { } ab || meets[p.B, q.B] is not { } bb || meets[p.B, q.A] is not { } ba) return null;
        double onPa = Support(lines[p.A], aa, ab), onPb = Support(lines[p.B], ba, bb);
        if (onPa < 0.25 || onPb < 0.25) return null;
        double onQa = Support(lines[q.A], aa, ba), onQb = Support(lines[q.B], ab, bb);
        double least = Math.Min(Math.Min(onPa, onPb), Math.Min(onQa, onQb));
        if (least < 0.25) return null;
        (double X, double Y)[] corners = Ordered([aa, ab, bb, ba]);
        double area = Area(corners) / ((double)map.Width * map.Height);
        if (area < LeastArea || !IsConvex(corners)) return null;
        double side = LeastSide * Math.Min(map.Width, map.Height);
        for (int i = 0; i < 4; i++)
            if (Distance(corners[i], corners[(i + 1) & 3]) < side) return null;
        double misfit = ShapeCheck.Misfit(corners, aspect, map.Width, map.Height, focalPx);
        double turned = aspect == 1 ? misfit : ShapeCheck.Misfit(corners, 1 / aspect, map.Width, map.Height, focalPx);
        if (Math.Min(misfit, turned) > MostMisfit) return null;
        return new Quad
        {
            At = corners,
            MeanSupport = (onPa + onPb + onQa + onQb) / 4,
            LeastSupport = least,
            ShapeMisfit = Math.Min(misfit, turned),
            AreaShare = area,
            QuarterTurns = misfit <= turned || misfit < 0.03 ? 0 : 1,
        };
    }

    /// <summary>Clockwise as seen, starting at the corner that is most to the top left.</summary>
    public static (double X, double Y)[] Ordered((double X, double Y)[] points)
    {
        double cx = points.Average(p => p.X), cy = points.Average(p => p.Y);
        (double X, double Y)[] round = [.. points.OrderBy(p => Math.Atan2(p.Y - cy, p.X - cx))];
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

    private static double Support(SeamLine line, (double X, double Y) a, (double X, double Y) b) => line.Support(line.Along(a.X, a.Y), line.Along(b.X, b.Y));

    private static double Distance((double X, double Y) a, (double X, double Y) b) => Math.Sqrt((a.X - b.X) * (a.X - b.X) + (a.Y - b.Y) * (a.Y - b.Y));

    private static double Area((double X, double Y)[] p)
    {
        double sum = 0;
        for (int i = 0; i < 4; i++) sum += p[i].X * p[(i + 1) & 3].Y - p[(i + 1) & 3].X * p[i].Y;
        return Math.Abs(sum) / 2;
    }

    private static bool IsConvex((double X, double Y)[] p)
    {
        for (int i = 0; i < 4; i++)
        {
            (double X, double Y) a = p[i], b = p[(i + 1) & 3], c = p[(i + 2) & 3];
            if ((b.X - a.X) * (c.Y - b.Y) - (b.Y - a.Y) * (c.X - b.X) <= 0) return false;
        }
        return true;
    }
}
