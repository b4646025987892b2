using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Planning.Tests.Oracles;

/// <summary>A grid cut into points and edges at every crossing and border point, border included.</summary>
public sealed class PlanarGraph
{
    private readonly List<BlockPoint> _points = [];

    public PlanarGraph(IntendedGrid grid, bool withBorder = true)
    {
        foreach (BlockPoint corner in grid.Size.Corners()) if (withBorder) IndexOf(corner);
        var chains = new List<(BlockPoint From, BlockPoint To)>();
        chains.AddRange(grid.Lines.Select(l => (l.From, l.To)));
        foreach (GridLine line in grid.Lines)
        {
            IndexOf(line.From);
            IndexOf(line.To);
        }
        foreach (GridNode node in grid.Nodes) IndexOf(node.Position);
        if (withBorder)
        {
            BlockPoint[] c = grid.Size.Corners();
            for (int i = 0; i < 4; i++) chains.Add((c[i], c[(i + 1) % 4]));
        }
        foreach ((BlockPoint from, BlockPoint to) in chains)
        {
            double length = from.DistanceTo(to);
            var on = new List<(double At, int Point)>();
            for (int p = 0; p < _points.Count; p++)
            {
                double x = _points[p].Xmm - from.Xmm, y = _points[p].Ymm - from.Ymm;
                double dx = (to.Xmm - from.Xmm) / length, dy = (to.Ymm - from.Ymm) / length;
                double along = x * dx + y * dy, across = x * dy - y * dx;
                if (Math.Abs(across) < 0.3 && along > -0.3 && along < length + 0.3) on.Add((along, p));
            }
            on.Sort();
            for (int i = 1; i < on.Count; i++) Edges.Add((on[i - 1].Point, on[i].Point, on[i].At - on[i - 1].At));
        }
    }

    public int Points => _points.Count;

    public List<(int A, int B, double Length)> Edges { get; } = [];

    public int IndexOf(BlockPoint p)
    {
        for (int i = 0; i < _points.Count; i++)
            if (_points[i].DistanceTo(p) < 0.4) return i;
        _points.Add(p);
        return _points.Count - 1;
    }
}
