using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Planning.Route;

/// <summary>A corner of the block, in the order the ring passes them: clockwise as seen.</summary>
public enum BlockCorner
{
    LowerLeft,
    UpperLeft,
    UpperRight,
    LowerRight,
}

/// <summary>
/// The stitched border (the ditch) as a ring of points: the four corners and every point where a line ends.
/// Positions run clockwise as seen, in mm, from the lower left corner: up the left side, along the top, down the right, back along the bottom.
/// </summary>
public sealed class BorderRing
{
    /// <summary>Line ends nearer to each other than this are one turning point, mm.</summary>
    public const double SamePointMm = IntendedGrid.SamePointMm;

    private readonly BlockSize _size;
    private readonly int[] _corners;

    public BorderRing(BlockSize size, IReadOnlyList<GridLine> lines)
    {
        _size = size;
        double w = size.WidthMm, h = size.HeightMm;
        PerimeterMm = 2 * (w + h);
        double[] corner = [0, h, h + w, h + w + h];
        var ends = new (double Position, int End)[2 * lines.Count];
        for (int i = 0; i < lines.Count; i++)
        {
            ends[2 * i] = (SnapToCorner(PositionOf(lines[i].From), corner), 2 * i);
            ends[2 * i + 1] = (SnapToCorner(PositionOf(lines[i].To), corner), 2 * i + 1);
        }
        // A corner sorts before line ends at the same place and thereby founds the group.
        var all = new List<(double Position, int End)>(ends.Length + 4);
        all.AddRange(corner.Select((position, i) => (position, i - 4)));
        all.AddRange(ends);
        all.Sort();
        _corners = new int[4];
        EndNodes = new int[2 * lines.Count];
        var positions = new List<double>();
        foreach ((double position, int end) in all)
        {
            bool isCorner = end < 0;
            if (isCorner || positions.Count == 0 || position - positions[^1] >= SamePointMm) positions.Add(position);
            if (isCorner) _corners[end + 4] = positions.Count - 1;
            else EndNodes[end] = positions.Count - 1;
        }
        Positions = [.. positions];
        Gaps = new double[positions.Count];
        for (int i = 0; i < Gaps.Length; i++)
            Gaps[i] = (i + 1 < Gaps.Length ? Positions[i + 1] : PerimeterMm) - Positions[i];
    }

    /// <summary>Whole way round, mm.</summary>
    public double PerimeterMm { get; }

    /// <summary>Position of each turning point along the ring, mm, rising.</summary>
    public double[] Positions { get; }

    /// <summary>Length of ditch from each point to the next, mm.</summary>
    public double[] Gaps { get; }

    public int Count => Positions.Length;

    /// <summary>Ring point of each line end: entry 2i is line i's From, 2i + 1 its To.</summary>
    public int[] EndNodes { get; }

    public int CornerNode(BlockCorner corner) => _corners[(int)corner];

    public bool IsCorner(int node) => Array.IndexOf(_corners, node) >= 0;

    /// <summary>The place of a ring point in the block.</summary>
    public BlockPoint Point(int node) => PointAt(Positions[node]);

    /// <summary>Unit direction of walking clockwise from a ring point.</summary>
    public (double X, double Y) DirectionAfter(int node)
    {
        BlockPoint a = Point(node), b = Point((node + 1) % Count);
        double length = a.DistanceTo(b);
        return ((b.Xmm - a.Xmm) / length, (b.Ymm - a.Ymm) / length);
    }

    private BlockPoint PointAt(double s)
    {
        double w = _size.WidthMm, h = _size.HeightMm;
        if (s < h) return new BlockPoint(0, h - s);
        if (s < h + w) return new BlockPoint(s - h, 0);
        return s < h + w + h ? new BlockPoint(w, s - h - w) : new BlockPoint(w - (s - h - w - h), h);
    }

    private double PositionOf(BlockPoint p)
    {
        double w = _size.WidthMm, h = _size.HeightMm;
        double left = Math.Abs(p.Xmm), top = Math.Abs(p.Ymm), right = Math.Abs(w - p.Xmm), bottom = Math.Abs(h - p.Ymm);
        double nearest = Math.Min(Math.Min(left, right), Math.Min(top, bottom));
        double x = Math.Clamp(p.Xmm, 0, w), y = Math.Clamp(p.Ymm, 0, h);
        if (nearest == left) return h - y;
        if (nearest == top) return h + x;
        return nearest == right ? h + w + y : h + w + h + (w - x);
    }

    private double SnapToCorner(double position, double[] corner)
    {
        foreach (double c in corner)
            if (Math.Abs(position - c) < SamePointMm) return c;
        return position > PerimeterMm - SamePointMm ? 0 : position;
    }
}
