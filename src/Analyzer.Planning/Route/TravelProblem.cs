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

    /// <summary>For every start, the smallest <see cref="Bound"/> over all ends this set touches. Linear.</summary>
    public double[] BestBounds()
    {
        int n = _gaps.Length;
        var best = new double[n];
        Array.Fill(best, double.PositiveInfinity);
        double low = double.PositiveInfinity, high = double.NegativeInfinity;
        for (int i = 0; i < n; i++)
        {
            if (_touched[i])
            {
                low = Math.Min(low, -_signed[i]);
                high = Math.Max(high, -_signed[i]);
            }
            best[i] = Math.Min(_base + _signed[i] + low, Total - (_base + _signed[i] + high));
        }
        low = double.PositiveInfinity;
        high = double.NegativeInfinity;
        for (int i = n - 1; i >= 0; i--)
        {
            if (_touched[i])
            {
                low = Math.Min(low, _signed[i]);
                high = Math.Max(high, _signed[i]);
            }
            best[i] = Math.Min(best[i], Math.Min(_base + low - _signed[i], Total - (_base + high - _signed[i])));
        }
        return best;
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
        int n = _gaps.Length;
        int pieces = _pieces + (_touched[start] ? 0 : 1) + (_touched[end] || end == start ? 0 : 1);
        Array.Copy(_piece, _parent, n);
        bool IsStop(int node) => _touched[node] || node == start || node == end;
        // Untouched points between two stops are passed through: the stretch from stop to stop is one piece of way.
        int first = 0;
        while (!IsStop(first)) first++;
        var free = new List<(double Length, int From, int Count)>();
        for (int from = first, walked = 0; walked < n;)
        {
            int count = 1;
            double way = _gaps[from];
            while (!IsStop((from + count) % n)) way += _gaps[(from + count++) % n];
            int to = (from + count) % n;
            if (IsOn(from, start, end, complement)) Unite(from, to, ref pieces);
            else free.Add((way, from, count));
            from = to;
            walked += count;
        }
        if (pieces == 1) return (length, joins);
        free.Sort();
        foreach ((double way, int from, int count) in free)
        {
            if (!Unite(from, (from + count) % n, ref pieces)) continue;
            length += 2 * way;
            for (int k = 0; k < count; k++) joins.Add((from + k) % n);
            if (pieces == 1) break;
        }
        return (length, joins);
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
