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
    private const double Usual = 0.8, LeastShare = 0.6;

    /// <summary>Where the ground itself has the thread's colour as often as this, colour does not tell.</summary>
    private const double GroundShare = 0.35;

    private readonly double _b, _g, _r, _reach;
    private readonly bool _tells;

    private ThreadLook(double b, double g, double r, double reach, bool tells) => (_b, _g, _r, _reach, _tells) = (b, g, r, reach, tells);

    public static ThreadLook Of(Photo photo, BlockPlane plane, IntendedGrid grid, IReadOnlyList<TracedLine> lines)
    {
        List<Vec3b> thread = [], ground = [];
        foreach (TracedLine line in lines)
        {
            LineFamily f = grid.Families[line.Line.Family];
            for (int i = 1; i < line.AlongMm.Length; i += 2)
            {
                BlockPoint Beside(double mm) => new(line.Line.From.Xmm + f.AlongX * line.AlongMm[i] + f.AcrossX * (line.DeviationMm[i] + mm), line.Line.From.Ymm + f.AlongY * line.AlongMm[i] + f.AcrossY * (line.DeviationMm[i] + mm));
                if (At(photo, plane, Beside(0)) is { } on) thread.Add(on);
                if (At(photo, plane, Beside(2.5)) is { } off) ground.Add(off);
            }
        }
        if (thread.Count < 20) return new ThreadLook(0, 0, 0, 0, false);
        double b = UpperMedian.Of(thread.Select(v => (double)v.Item0)), g = UpperMedian.Of(thread.Select(v => (double)v.Item1)), r = UpperMedian.Of(thread.Select(v => (double)v.Item2));
        double Distance(Vec3b v) => Math.Sqrt(Math.Pow(v.Item0 - b, 2) + Math.Pow(v.Item1 - g, 2) + Math.Pow(v.Item2 - r, 2));
        double reach = thread.Select(Distance).Order().ElementAt((int)(Usual * (thread.Count - 1)));
        bool tells = ground.Count > 0 && ground.Count(v => Distance(v) <= reach) < GroundShare * ground.Count;
        return new ThreadLook(b, g, r, reach, tells);
    }

    /// <summary>Whether enough of the places have the thread's own colour. Where colour does not tell thread from ground, nothing is called thread.</summary>
    public bool IsThread(Photo photo, BlockPlane plane, IReadOnlyList<BlockPoint> places)
    {
        if (!_tells || places.Count < 10) return false;
        int alike = places.Count(p => At(photo, plane, p) is { } v && Math.Sqrt(Math.Pow(v.Item0 - _b, 2) + Math.Pow(v.Item1 - _g, 2) + Math.Pow(v.Item2 - _r, 2)) <= _reach);
        return alike >= LeastShare * places.Count;
    }

    private static Vec3b? At(Photo photo, BlockPlane plane, BlockPoint p)
    {
        PhotoPoint px = plane.ToPhoto(p);
        int x = (int)Math.Round(px.X), y = (int)Math.Round(px.Y);
        return x < 0 || y < 0 || x >= photo.WidthPx || y >= photo.HeightPx ? null : photo.Bgr.At<Vec3b>(y, x);
    }
}
