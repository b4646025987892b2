namespace Analyzer.Planning.Route;

/// <summary>
/// Which stretches of the ditch must be walked again so that a set of lines can be sewn in one thread from a start to an end.
/// The lines are chords of the border ring, sewn whole, so every turn lies on the ring: a route inspection problem on a cycle.
/// </summary>
/// <remarks>
/// Exact. Every stretch is walked 0, 1 or 2 times. Its count modulo 2 must mend the odd points, and on a ring only two such
/// choices exist, each the other's complement. What is still in pieces is joined by walking stretches of count 0 there and back:
/// the cheapest way is a minimum spanning tree of the pieces (Kruskal). Route inspection: Guan 1962; Edmonds and Johnson 1973.
/// </remarks>
internal sealed class TravelProblem
{
    private readonly double[] _gaps;
    private readonly bool[] _touched;
    private readonly int[] _piece;
    private readonly bool[] _pattern;
    private readonly double[] _signed;
    private readonly double _base;
    private readonly bool _joined;
    private readonly int _pieces;
    private readonly int[] _parent;
    private List<(double Length, int From, int Count)>? _ways;
    private int _waysKey;

    /// <param name="gaps">Length of each stretch of the ring, mm.</param>
    /// <param name="chords">Ring points of each line's two ends.</param>
    /// <param name="joinedByBorder">True when the border itself is sewn in the same go, so that nothing is ever in pieces.</param>
    public TravelProblem(double[] gaps, IReadOnlyList<(int A, int B)> chords, bool joinedByBorder)
    {
        int n = gaps.Length;
        _gaps = gaps;
        _joined = joinedByBorder;
        _touched = new bool[n];
        _parent = new int[n];
        var odd = new bool[n];
        for (int i = 0; i < n; i++) _parent[i] = i;
        foreach ((int a, int b) in chords)
        {
            _touched[a] = _touched[b] = true;
            odd[a] ^= true;
            odd[b] ^= true;
            _parent[Find(a)] = Find(b);
        }
        if (joinedByBorder) Array.Fill(_touched, true);
        Odd = odd;
        _piece = new int[n];
        for (int i = 0; i < n; i++)
        {
            _piece[i] = Find(i);
            if (_touched[i] && _piece[i] == i) _pieces++;
        }
        _pattern = new bool[n];
        _signed = new double[n + 1];
        bool on = false;
        for (int e = 0; e < n; e++)
        {
            on ^= odd[e];
            _pattern[e] = on;
            if (on) _base += gaps[e];
            _signed[e + 1] = _signed[e] + (on ? -gaps[e] : gaps[e]);
            Total += gaps[e];
        }
    }

    /// <summary>Ring points where an odd number of these lines end.</summary>
    public bool[] Odd { get; }

    /// <summary>The ring's whole length, mm.</summary>
    public double Total { get; }

    /// <summary>True when a line of this set ends at the point (or the whole border is in the set).</summary>
    public bool Touches(int node) => _touched[node];

    /// <summary>Travel that parity alone demands from start to end, mm; never more than the exact answer.</summary>
    public double Bound(int start, int end)
    {
        double one = PatternLength(start, end);
        return Math.Min(one, Total - one);
    }

    /// <summary>For every start, the smallest <see cref="Bound"/> over all ends this set touches, and that end. Linear.</summary>
    public (double[] Bounds, int[] Ends) BestBounds()
    {
        int n = _gaps.Length;
        var best = new double[n];
        var ends = new int[n];
        Array.Fill(best, double.PositiveInfinity);
        void Pass(IEnumerable<int> nodes, int sign)
        {
            int low = -1, high = -1;
            foreach (int i in nodes)
            {
                if (_touched[i])
                {
                    if (low < 0 || sign * _signed[i] < sign * _signed[low]) low = i;
                    if (high < 0 || sign * _signed[i] > sign * _signed[high]) high = i;
                }
                foreach (int end in (ReadOnlySpan<int>)[low, high])
                    if (end >= 0 && Bound(i, end) is double bound && bound < best[i]) (best[i], ends[i]) = (bound, end);
            }
        }
        Pass(Enumerable.Range(0, n), -1);
        Pass(Enumerable.Range(0, n).Reverse(), 1);
        return (best, ends);
    }

    /// <summary>Travel that joining all pieces to the start demands, whatever the end, mm: a minimum spanning tree of ways walked once.</summary>
    public double JoinBound(int start)
    {
        if (_joined) return 0;
        List<(double Length, int From, int Count)> ways = WaysFor(start);
        Array.Copy(_piece, _parent, _gaps.Length);
        int pieces = _pieces + (_touched[start] ? 0 : 1);
        double length = 0;
        foreach ((double way, int from, int count) in ways)
            if (pieces > 1 && Unite(from, (from + count) % _gaps.Length, ref pieces)) length += way;
        return length;
    }

    /// <summary>The exact shortest travel from start to end, mm, and how often each stretch is walked.</summary>
    public (double TravelMm, byte[] Times) Solve(int start, int end)
    {
        (double one, List<int> joinsOne) = Join(start, end, false);
        (double two, List<int> joinsTwo) = Join(start, end, true);
        bool complement = two < one - 1e-9;
        var times = new byte[_gaps.Length];
        for (int e = 0; e < times.Length; e++)
            if (IsOn(e, start, end, complement)) times[e] = 1;
        foreach (int e in complement ? joinsTwo : joinsOne) times[e] = 2;
        return (complement ? two : one, times);
    }

    /// <summary>The exact shortest travel from start to every ring point, mm; infinite where no route can end, or where it cannot stay below the limit.</summary>
    /// <param name="rest">What comes on top after each end, mm, never too large; null for nothing.</param>
    public double[] SolveEveryEnd(int start, double[]? rest = null, double limit = double.PositiveInfinity)
    {
        int n = _gaps.Length;
        var travel = new double[n];
        if (_joined)
        {
            for (int end = 0; end < n; end++) travel[end] = Bound(start, end);
            return travel;
        }
        Array.Fill(travel, double.PositiveInfinity);
        var stops = new List<int>(n);
        for (int k = 0; k < n; k++)
            if (k == 0 || _touched[(start + k) % n]) stops.Add((start + k) % n);
        var length = new double[stops.Count];
        for (int i = 0, k = 0; k < n; k++)
        {
            if (i + 1 < stops.Count && (start + k) % n == stops[i + 1]) i++;
            length[i] += _gaps[(start + k) % n];
        }
        // A start that no line touches is a piece of its own; its point number is its own name.
        double[] exact = EveryEnd.Travel(length, [.. stops.Select(s => _pattern[s])], [.. stops.Select(s => _piece[s])], [.. stops.Select(s => rest?[s] ?? 0)], limit);
        for (int i = 0; i < stops.Count; i++) travel[stops[i]] = exact[i];
        return travel;
    }

    /// <summary>Travel that joining all pieces demands, wherever the route starts and ends, mm.</summary>
    public double JoinBound()
    {
        int touched = Array.IndexOf(_touched, true);
        return touched < 0 ? 0 : JoinBound(touched);
    }

    private double PatternLength(int start, int end) => _base + _signed[Math.Max(start, end)] - _signed[Math.Min(start, end)];

    private bool IsOn(int e, int start, int end, bool complement) =>
        _pattern[e] ^ (e >= Math.Min(start, end) && e < Math.Max(start, end)) ^ complement;

    /// <summary>Length of one of the two parity choices with the shortest joins of what it leaves in pieces.</summary>
    private (double Length, List<int> Joins) Join(int start, int end, bool complement)
    {
        double length = PatternLength(start, end);
        if (complement) length = Total - length;
        var joins = new List<int>();
        if (_joined) return (length, joins);
        if (!_touched[end] && end != start) throw new ArgumentException("A route ends where one of its lines does.", nameof(end));
        int n = _gaps.Length, pieces = _pieces + (_touched[start] ? 0 : 1);
        List<(double Length, int From, int Count)> ways = WaysFor(start);
        Array.Copy(_piece, _parent, n);
        foreach ((_, int from, int count) in ways)
            if (IsOn(from, start, end, complement)) Unite(from, (from + count) % n, ref pieces);
        if (pieces == 1) return (length, joins);
        foreach ((double way, int from, int count) in ways)
        {
            if (!Unite(from, (from + count) % n, ref pieces)) continue;
            length += 2 * way;
            for (int k = 0; k < count; k++) joins.Add((from + k) % n);
            if (pieces == 1) break;
        }
        return (length, joins);
    }

    /// <summary>The ring as ways from stop to stop, shortest first. Stops are the points that lines touch, and the start; others are passed through.</summary>
    private List<(double Length, int From, int Count)> WaysFor(int start)
    {
        int key = _touched[start] ? -1 : start;
        if (_ways is not null && _waysKey == key) return _ways;
        int n = _gaps.Length;
        bool IsStop(int node) => _touched[node] || node == start;
        var ways = new List<(double Length, int From, int Count)>();
        int first = 0;
        while (!IsStop(first)) first++;
        for (int from = first, walked = 0; walked < n;)
        {
            int count = 1;
            double way = _gaps[from];
            while (!IsStop((from + count) % n)) way += _gaps[(from + count++) % n];
            ways.Add((way, from, count));
            from = (from + count) % n;
            walked += count;
        }
        ways.Sort();
        (_ways, _waysKey) = (ways, key);
        return ways;
    }

    private bool Unite(int a, int b, ref int pieces)
    {
        int ra = Find(a), rb = Find(b);
        if (ra == rb) return false;
        _parent[ra] = rb;
        pieces--;
        return true;
    }

    private int Find(int i)
    {
        while (_parent[i] != i) i = _parent[i] = _parent[_parent[i]];
        return i;
    }
}
