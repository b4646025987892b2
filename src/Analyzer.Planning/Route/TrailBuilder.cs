namespace Analyzer.Planning.Route;

internal enum WayKind
{
    Line,
    Ditch,
    Jump,

    /// <summary>From the trail's end back to its start; never walked.</summary>
    Closing,
}

/// <summary>One piece of way between two ring points. For a ditch piece <paramref name="Item"/> is the ring stretch, for a line its index.</summary>
internal readonly record struct Way(WayKind Kind, int Item, int A, int B);

/// <summary>
/// One trail that walks every given way once. At each point the ways are paired so that the ditch goes straight on and lines bounce;
/// the loops this makes are then joined where it costs the fewest extra turns. Linear in the number of ways for bounded degree.
/// </summary>
/// <remarks>Euler 1736: possible because every degree is even once the closing way is added. The idea of joining loops is Hierholzer's (1873).</remarks>
internal sealed class TrailBuilder
{
    private readonly BorderRing _ring;
    private readonly IReadOnlyList<Way> _ways;
    private readonly List<int>[] _halves;
    private readonly int[] _mate;
    private readonly double[] _along;
    private readonly int[] _loop;

    /// <param name="lineAlong">For half-way 2i or 2i+1 of line i: cosine between leaving that end along the line and going clockwise.</param>
    private TrailBuilder(BorderRing ring, IReadOnlyList<Way> ways, double[] lineAlong)
    {
        _ring = ring;
        _ways = ways;
        _halves = new List<int>[ring.Count];
        _mate = new int[2 * ways.Count];
        _along = new double[2 * ways.Count];
        _loop = new int[ways.Count];
        for (int h = 0; h < _mate.Length; h++)
        {
            Way way = ways[h / 2];
            (_halves[NodeOf(h)] ??= []).Add(h);
            _along[h] = way.Kind switch
            {
                WayKind.Line => lineAlong[2 * way.Item + (h & 1)],
                WayKind.Ditch => (h & 1) == 0 ? 1 : -1,
                _ => 0,
            };
        }
    }

    /// <summary>The ways in walking order, from <paramref name="start"/> to <paramref name="end"/>; Forward is from A to B.</summary>
    public static List<(Way Way, bool Forward)> Walk(BorderRing ring, List<Way> ways, double[] lineAlong, int start, int end)
    {
        var closed = new List<Way>(ways) { new(WayKind.Closing, 0, end, start) };
        var builder = new TrailBuilder(ring, closed, lineAlong);
        builder.PairAll();
        builder.JoinLoops();
        return builder.Follow(closed.Count - 1);
    }

    private int NodeOf(int half) => (half & 1) == 0 ? _ways[half / 2].A : _ways[half / 2].B;

    private void PairAll()
    {
        foreach (List<int>? halves in _halves)
        {
            if (halves is null) continue;
            if (halves.Count > 8) PairInOrder(halves);
            else PairBest(halves);
        }
    }

    private void PairInOrder(List<int> halves)
    {
        halves.Sort((p, q) => _along[p].CompareTo(_along[q]));
        for (int i = 0; i < halves.Count / 2; i++) Pair(halves[i], halves[halves.Count - 1 - i]);
    }

    private void PairBest(List<int> halves)
    {
        int n = halves.Count;
        Span<int> now = stackalloc int[n], best = stackalloc int[n];
        double bestCost = double.PositiveInfinity;
        Search(halves, 0, 0, 0, now, best, ref bestCost);
        for (int i = 0; i < n; i++) _mate[halves[i]] = halves[best[i]];
    }

    private void Search(List<int> halves, int used, int done, double cost, Span<int> now, Span<int> best, ref double bestCost)
    {
        if (cost >= bestCost) return;
        if (done == halves.Count)
        {
            bestCost = cost;
            now.CopyTo(best);
            return;
        }
        int first = 0;
        while ((used >> first & 1) != 0) first++;
        for (int other = first + 1; other < halves.Count; other++)
        {
            if ((used >> other & 1) != 0) continue;
            now[first] = other;
            now[other] = first;
            Search(halves, used | 1 << first | 1 << other, done + 2, cost + Cost(halves[first], halves[other]), now, best, ref bestCost);
        }
    }

    /// <summary>How awkward it is to come in by one way and leave by the other: whole numbers are turns, fractions are taste.</summary>
    private double Cost(int p, int q)
    {
        WayKind a = _ways[p / 2].Kind, b = _ways[q / 2].Kind;
        if (a == WayKind.Closing || b == WayKind.Closing) return a == b ? 4 : 0;
        if (a == WayKind.Jump || b == WayKind.Jump) return a == b ? 4 : 0;
        if (a == WayKind.Ditch && b == WayKind.Ditch)
        {
            if (_along[p] == _along[q]) return 3;
            return _ring.IsCorner(NodeOf(p)) ? 1 : 0;
        }
        return a == b ? 1 + 0.2 * Math.Abs(_along[p] + _along[q]) : 1.3;
    }

    private void Pair(int p, int q)
    {
        _mate[p] = q;
        _mate[q] = p;
    }

    private void JoinLoops()
    {
        int loops = MarkLoops();
        var parent = new int[loops];
        for (int i = 0; i < loops; i++) parent[i] = i;
        int Find(int i)
        {
            while (parent[i] != i) i = parent[i] = parent[parent[i]];
            return i;
        }
        foreach (double most in (double[])[0.5, 1.5, 2.5, double.PositiveInfinity])
        {
            foreach (List<int>? halves in _halves)
            {
                if (halves is null || loops == 1) continue;
                for (int i = 0; i < halves.Count; i++)
                    for (int j = i + 1; j < halves.Count; j++)
                    {
                        int p = halves[i], q = halves[j], pm = _mate[p], qm = _mate[q];
                        if (q == pm) continue;
                        int lp = Find(_loop[p / 2]), lq = Find(_loop[q / 2]);
                        if (lp == lq || Cost(p, q) + Cost(pm, qm) - Cost(p, pm) - Cost(q, qm) > most) continue;
                        Pair(p, q);
                        Pair(pm, qm);
                        parent[lp] = lq;
                        loops--;
                    }
            }
        }
        if (loops != 1) throw new InvalidOperationException("The ways of a route are not connected.");
    }

    private int MarkLoops()
    {
        Array.Fill(_loop, -1);
        int loops = 0;
        for (int w = 0; w < _ways.Count; w++)
        {
            if (_loop[w] >= 0) continue;
            for (int half = 2 * w; _loop[half / 2] < 0; half = _mate[half ^ 1]) _loop[half / 2] = loops;
            loops++;
        }
        return loops;
    }

    private List<(Way Way, bool Forward)> Follow(int closing)
    {
        var walk = new List<(Way, bool)>(_ways.Count - 1);
        for (int half = _mate[2 * closing + 1]; half / 2 != closing; half = _mate[half ^ 1])
            walk.Add((_ways[half / 2], (half & 1) == 0));
        return walk;
    }
}
