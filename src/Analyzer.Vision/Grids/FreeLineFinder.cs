using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Grids;

/// <summary>A stitched run that belongs to no intended line, block mm.</summary>
public sealed record FreeLine(BlockPoint From, BlockPoint To);

/// <summary>Looks for stitched runs of any direction that are left over when the traced lines are taken away: a doubled run, a wandering repair.</summary>
/// <remarks>
/// Places that look like the block's thread (its colour, its strength) in one of four directions, with a strip along every traced line and the ditch left
/// out, vote in a Hough transform over that quarter of the directions; along each peak the longest run that is thread nearly all the way is kept.
/// </remarks>
public static class FreeLineFinder
{
    private const double PixelsPerMm = 4, TakenMm = 1.5, EdgeMm = 2.5, BinMm = 1.0, StepDeg = 1.5, HalfWindowDeg = 23;

    /// <summary>Shortest run told, mm, and share of it that must look like thread.</summary>
    private const double ShortestMm = 18, LeastShare = 0.72;

    /// <summary>A place is thread from this share of the block's usual evidence, and from this many noise units.</summary>
    private const double ThreadShare = 0.45, LeastScore = 2.2;

    private const int Most = 12;

    public static IReadOnlyList<FreeLine> Find(Photo photo, BlockPlane plane, IntendedGrid grid, BlockTraces traces)
    {
        TracedLine[] seen = [.. traces.Lines.OfType<TracedLine>().Where(l => l.AlongMm.Length >= 4)];
        if (seen.Length < 2) return [];
        var reduced = new ReducedPhoto(photo, plane, PixelsPerMm);
        var settings = new EvidenceSettings { PixelsPerMm = Math.Min(PixelsPerMm, Math.Max(2, Math.Floor(plane.PixelsPerMm))) };
        bool[] taken = Taken(plane.Size, grid, seen);
        var middle = new BlockPoint(plane.Size.WidthMm / 2, plane.Size.HeightMm / 2);
        var runs = new List<Run>[4];
        FamilyEvidence[] all = FamilyEvidence.OfAll(reduced, plane, [.. Enumerable.Range(0, 4).Select(d => new LineFamily(45 * d > 90 ? 45 * d - 180 : 45 * d, 25, middle))], settings);
        Parallel.For(0, 4, new ParallelOptions { MaxDegreeOfParallelism = 2 }, d =>
        {
            FamilyEvidence evidence = all[d];
            StrengthMeasure measure = traces.Thread?.Direction is { } c ? StrengthMeasure.Along(evidence.Noise.Discriminant(c)) : StrengthMeasure.AnyColour(evidence.Noise);
            double usual = Usual(evidence, grid, seen, measure);
            runs[d] = usual < LeastScore ? [] : Search(evidence, taken, measure, Math.Max(LeastScore, ThreadShare * usual));
        });
        var look = new Lazy<ThreadLook>(() => ThreadLook.Of(photo, plane, grid, seen));
        var kept = new List<Run>();
        foreach (Run run in runs.SelectMany(r => r).OrderByDescending(r => r.LengthMm * r.Share))
        {
            if (kept.Count < Most && kept.All(k => !k.Overlaps(run)) && look.Value.IsThread(photo, plane, run.Places)) kept.Add(run);
        }
        return [.. kept.Select(k => new FreeLine(k.From, k.To))];
    }

    private sealed record Run(BlockPoint From, BlockPoint To, double Share, BlockPoint[] Places)
    {
        public double LengthMm => From.DistanceTo(To);

        public bool Overlaps(Run other)
        {
            var mid = new BlockPoint((other.From.Xmm + other.To.Xmm) / 2, (other.From.Ymm + other.To.Ymm) / 2);
            double dx = To.Xmm - From.Xmm, dy = To.Ymm - From.Ymm, length = LengthMm;
            double across = Math.Abs((mid.Xmm - From.Xmm) * dy - (mid.Ymm - From.Ymm) * dx) / length, along = ((mid.Xmm - From.Xmm) * dx + (mid.Ymm - From.Ymm) * dy) / length;
            return across < 3 && along > -5 && along < length + 5;
        }
    }

    /// <summary>Millimetre cells that a traced line or the ditch has already.</summary>
    private static bool[] Taken(BlockSize size, IntendedGrid grid, TracedLine[] seen)
    {
        int w = 2 * (int)Math.Ceiling(size.WidthMm), h = 2 * (int)Math.Ceiling(size.HeightMm);
        var taken = new bool[w * h];
        foreach (TracedLine line in seen)
        {
            LineFamily f = grid.Families[line.Line.Family];
            for (double s = 0; s <= line.Line.LengthMm; s += 0.5)
            {
                int i = Math.Clamp((int)Math.Round((s - line.AlongMm[0]) / Math.Max(1e-9, line.AlongMm[^1] - line.AlongMm[0]) * (line.AlongMm.Length - 1)), 0, line.AlongMm.Length - 1);
                double x = line.Line.From.Xmm + f.AlongX * s + f.AcrossX * line.DeviationMm[i], y = line.Line.From.Ymm + f.AlongY * s + f.AcrossY * line.DeviationMm[i];
                for (double dy = -TakenMm; dy <= TakenMm; dy += 0.5)
                    for (double dx = -TakenMm; dx <= TakenMm; dx += 0.5)
                    {
                        int c = (int)Math.Floor(2 * (x + dx)), r = (int)Math.Floor(2 * (y + dy));
                        if (c >= 0 && r >= 0 && c < w && r < h && dx * dx + dy * dy <= TakenMm * TakenMm) taken[r * w + c] = true;
                    }
            }
        }
        return taken;
    }

    private static bool IsFree(BlockSize size, bool[] taken, BlockPoint p)
    {
        if (p.Xmm < EdgeMm || p.Ymm < EdgeMm || p.Xmm > size.WidthMm - EdgeMm || p.Ymm > size.HeightMm - EdgeMm) return false;
        int w = 2 * (int)Math.Ceiling(size.WidthMm);
        return !taken[(int)(2 * p.Ymm) * w + (int)(2 * p.Xmm)];
    }

    /// <summary>Median evidence along the traced lines that run nearest to this direction.</summary>
    private static double Usual(FamilyEvidence evidence, IntendedGrid grid, TracedLine[] seen, in StrengthMeasure measure)
    {
        double nearest = seen.Min(l => IntendedGrid.AngleBetweenDeg(grid.Families[l.Line.Family], evidence.Family));
        var values = new List<double>();
        foreach (TracedLine line in seen.Where(l => IntendedGrid.AngleBetweenDeg(grid.Families[l.Line.Family], evidence.Family) < nearest + 1))
        {
            LineFamily f = grid.Families[line.Line.Family];
            for (int i = 0; i < line.AlongMm.Length; i += 3)
            {
                var p = new BlockPoint(line.Line.From.Xmm + f.AlongX * line.AlongMm[i] + f.AcrossX * line.DeviationMm[i], line.Line.From.Ymm + f.AlongY * line.AlongMm[i] + f.AcrossY * line.DeviationMm[i]);
                values.Add(measure.Of(evidence.AtMm(evidence.Family.Along(p), evidence.Family.Across(p))));
            }
        }
        return UpperMedian.Of(values);
    }

    private static List<Run> Search(FamilyEvidence e, bool[] taken, in StrengthMeasure measure, double least)
    {
        List<(double Along, double Across)> votes = [];
        int step = Math.Max(1, (int)Math.Round(e.AlongPixelsPerMm / 1.5));
        float[] strength = e.Strengths(measure);
        for (int row = 1; row + 1 < e.Rows; row++)
            for (int col = 0; col < e.Cols; col += step)
            {
                int i = row * e.Cols + col;
                float v = strength[i];
                if (v < least || v < strength[i - e.Cols] || v < strength[i + e.Cols]) continue;
                double along = e.AlongStartMm + col / e.AlongPixelsPerMm, across = e.AcrossStartMm + row / e.PixelsPerMm;
                if (IsFree(e.Size, taken, e.Family.At(along, across))) votes.Add((along, across));
            }
        double mid = e.AlongStartMm + e.Cols / e.AlongPixelsPerMm / 2;
        int bins = (int)(e.Rows / e.PixelsPerMm / BinMm) + 200;
        var runs = new List<Run>();
        for (int attempt = 0; attempt < 4; attempt++)
        {
            (int Votes, double Across, double Slope) best = default;
            for (double deg = -HalfWindowDeg; deg <= HalfWindowDeg; deg += StepDeg)
            {
                double slope = Math.Tan(deg * Math.PI / 180);
                var count = new int[bins];
                foreach ((double along, double across) in votes)
                {
                    int b = (int)((across - slope * (along - mid) - e.AcrossStartMm) * Math.Cos(deg * Math.PI / 180) / BinMm) + 100;
                    if (b > 0 && b + 1 < bins) count[b]++;
                }
                for (int b = 1; b + 1 < bins; b++)
                {
                    int sum = count[b - 1] + 2 * count[b] + count[b + 1];
                    if (sum > best.Votes) best = (sum, e.AcrossStartMm + (b - 100 + 0.5) * BinMm / Math.Cos(deg * Math.PI / 180), slope);
                }
            }
            if (best.Votes < ShortestMm * e.AlongPixelsPerMm / step * 1.2) break;
            (double level, double lean) = Straightened(votes, best.Across, best.Slope, mid);
            if (LongestRun(e, taken, measure, least, level, lean, mid) is { } run) runs.Add(run);
            votes.RemoveAll(v => Math.Abs(v.Across - level - lean * (v.Along - mid)) < 2);
        }
        return runs;
    }

    /// <summary>The peak's line drawn through the votes near it, nearer with each round; far-off votes count less.</summary>
    private static (double Across, double Slope) Straightened(List<(double Along, double Across)> votes, double across, double slope, double mid)
    {
        foreach (double reachMm in new[] { 3, 2.5, 2, 2 })
        {
            if (BiweightLine.Next(votes.Select(v => (v.Along - mid, v.Across)), across, slope, reachMm) is not { } next) break;
            (across, slope) = (next.Level, next.Slope);
        }
        return (across, slope);
    }

    /// <summary>The run along one straight line with most thread over the share asked for.</summary>
    private static Run? LongestRun(FamilyEvidence e, bool[] taken, in StrengthMeasure measure, double least, double across, double slope, double mid)
    {
        const double stepMm = 0.5, wanderMm = 1.4;
        int n = (int)(e.Cols / e.AlongPixelsPerMm / stepMm);
        (double Sum, int From, int To) best = default, current = default;
        int hits = 0, looks = 0, bestHits = 0, bestLooks = 0;
        var places = new BlockPoint?[n];
        for (int i = 0; i < n; i++)
        {
            double along = e.AlongStartMm + i * stepMm, centre = across + slope * (along - mid);
            double top = double.NegativeInfinity;
            int free = 0, all = 0;
            for (double u = -wanderMm; u <= wanderMm; u += 0.25)
            {
                all++;
                if (!IsFree(e.Size, taken, e.Family.At(along, centre + u))) continue;
                free++;
                double here = measure.Of(e.AtMm(along, centre + u));
                if (here <= top) continue;
                top = here;
                places[i] = e.Family.At(along, centre + u);
            }
            // Under a traced line nothing is known: neither for nor against.
            double gain = 2 * free < all ? 0 : top >= least ? 1 - LeastShare : -LeastShare;
            if (current.Sum <= 0 && gain > 0) (current, hits, looks) = ((0, i, i), 0, 0);
            if (gain > 0) hits++;
            if (gain != 0) looks++;
            current = (current.Sum + gain, current.From, gain > 0 ? i : current.To);
            if (current.Sum > best.Sum) (best, bestHits, bestLooks) = (current, hits, looks);
        }
        if (bestHits * stepMm < 0.8 * ShortestMm || bestLooks == 0) return null;
        double start = e.AlongStartMm + best.From * stepMm, end = e.AlongStartMm + best.To * stepMm;
        BlockPoint At(double along) => e.Family.At(along, across + slope * (along - mid));
        var run = new Run(At(start), At(end), (double)bestHits / bestLooks, [.. places[best.From..(best.To + 1)].OfType<BlockPoint>()]);
        return run.LengthMm >= ShortestMm && run.Share >= LeastShare ? run : null;
    }
}
