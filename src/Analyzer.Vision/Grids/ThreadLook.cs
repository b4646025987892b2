using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;
using OpenCvSharp;

namespace Analyzer.Vision.Grids;

/// <summary>
/// What the block's thread looks like in itself, not against its ground: the same thread has the same colour everywhere, while a print's edges are of any
/// colour. Blue, green, red of the 8-bit photo.
/// </summary>
internal sealed class ThreadLook
{
    /// <summary>Share of the thread's own places that count as its usual colour, and of a run's places that must be so.</summary>
    private const double Usual = 0.8, LeastShare = 0.5;

    /// <summary>Where the ground itself has the thread's colour as often as this, colour does not tell.</summary>
    private const double GroundShare = 0.35;

    /// <summary>A place is known to about this only: the best match around it counts, mm.</summary>
    private const double AroundMm = 0.3;

    private readonly double _b, _g, _r, _reach;
    private readonly bool _tells;

    private ThreadLook(double b, double g, double r, double reach, bool tells) => (_b, _g, _r, _reach, _tells) = (b, g, r, reach, tells);

    public static ThreadLook Of(Photo photo, BlockPlane plane, IntendedGrid grid, IReadOnlyList<TracedLine> lines)
    {
        List<BlockPoint> thread = [], ground = [];
        foreach (TracedLine line in lines)
        {
            LineFamily f = grid.Families[line.Line.Family];
            for (int i = 1; i < line.AlongMm.Length; i += 3)
            {
                BlockPoint Beside(double mm) => new(line.Line.From.Xmm + f.AlongX * line.AlongMm[i] + f.AcrossX * (line.DeviationMm[i] + mm), line.Line.From.Ymm + f.AlongY * line.AlongMm[i] + f.AcrossY * (line.DeviationMm[i] + mm));
                thread.Add(Beside(0));
                ground.Add(Beside(2.5));
            }
        }
        Vec3b[] seen = [.. thread.Select(p => At(photo, plane, p)).OfType<Vec3b>()];
        if (seen.Length < 20) return new ThreadLook(0, 0, 0, 0, false);
        double b = UpperMedian.Of(seen.Select(v => (double)v.Item0)), g = UpperMedian.Of(seen.Select(v => (double)v.Item1)), r = UpperMedian.Of(seen.Select(v => (double)v.Item2));
        var look = new ThreadLook(b, g, r, 0, false);
        double reach = thread.Select(p => look.Distance(photo, plane, p)).Order().ElementAt((int)(Usual * (thread.Count - 1)));
        return new ThreadLook(b, g, r, reach, ground.Count(p => look.Distance(photo, plane, p) <= reach) < GroundShare * ground.Count);
    }

    /// <summary>Whether enough of the places have the thread's own colour. Where colour does not tell thread from ground, nothing is called thread.</summary>
    public bool IsThread(Photo photo, BlockPlane plane, IReadOnlyList<BlockPoint> places) =>
        _tells && places.Count >= 10 && places.Count(p => Distance(photo, plane, p) <= _reach) >= LeastShare * places.Count;

    private double Distance(Photo photo, BlockPlane plane, BlockPoint p)
    {
        double best = double.PositiveInfinity;
        for (int dx = -1; dx <= 1; dx++)
            for (int dy = -1; dy <= 1; dy++)
                if (At(photo, plane, new BlockPoint(p.Xmm + dx * AroundMm, p.Ymm + dy * AroundMm)) is { } v)
                    best = Math.Min(best, Math.Pow(v.Item0 - _b, 2) + Math.Pow(v.Item1 - _g, 2) + Math.Pow(v.Item2 - _r, 2));
        return Math.Sqrt(best);
    }

    /// <summary>Blue, green, red of the pixel nearest to a place of the block; null outside the photo.</summary>
    internal static Vec3b? At(Photo photo, BlockPlane plane, BlockPoint p)
    {
        PhotoPoint px = plane.ToPhoto(p);
        int x = (int)Math.Round(px.X), y = (int)Math.Round(px.Y);
        return x < 0 || y < 0 || x >= photo.WidthPx || y >= photo.HeightPx ? null : photo.Bgr.At<Vec3b>(y, x);
    }
}
