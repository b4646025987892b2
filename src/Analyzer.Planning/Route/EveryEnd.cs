namespace Analyzer.Planning.Route;

/// <summary>
/// The exact travel from one start to every possible end at once. Moving the end by one stop turns one stretch of the ring from walked
/// to not walked or back, so all ends together are one minimum spanning tree whose edges change one after the other.
/// </summary>
/// <remarks>
/// The stops are cut in half again and again. In each half the stretches that keep their state are settled: those that a tree needs
/// even if all changing ones were free are joined for good, those that it does not need even if none of the changing ones could be
/// used are dropped. What is left is no larger than the half itself, so the work grows as n·log n. The technique is that of offline
/// dynamic minimum spanning trees (Eppstein 1994, from memory). Halves that cannot beat the limit are left unsearched.
/// </remarks>
internal sealed class EveryEnd
{
    private readonly double[] _length;
    private readonly bool[] _pattern;
    private readonly bool _complement;
    private readonly double[] _walked;
    private readonly double[] _rest;
    private readonly double _limit;
    private readonly double[] _best;

    private EveryEnd(double[] length, bool[] pattern, bool complement, double[] rest, double limit, double[] best)
    {
        (_length, _pattern, _complement, _rest, _limit, _best) = (length, pattern, complement, rest, limit, best);
        _walked = new double[length.Length];
        double walked = 0;
        for (int j = 0; j < length.Length; j++)
            if (pattern[j] ^ complement) walked += length[j];
        for (int end = 0; end < length.Length; end++)
        {
            _walked[end] = walked;
            walked += pattern[end] ^ complement ? -length[end] : length[end];
        }
    }

    /// <param name="length">Length of the way from each stop to the next, mm; stop 0 is the start.</param>
    /// <param name="pattern">Whether the way is walked an odd number of times when the route ends where it starts.</param>
    /// <param name="piece">The piece of connected lines each stop belongs to.</param>
    /// <param name="rest">What comes on top for each end, mm: it must never be too large.</param>
    /// <param name="limit">Ends whose travel and rest together reach this are not worked out.</param>
    /// <returns>For every stop, the shortest travel that ends there, mm; infinite where that is not below the limit.</returns>
    public static double[] Travel(double[] length, bool[] pattern, int[] piece, double[] rest, double limit)
    {
        int n = length.Length;
        int[] vertex = new int[n], byLength = new int[n];
        var names = new Dictionary<int, int>();
        for (int i = 0; i < n; i++)
        {
            if (!names.TryGetValue(piece[i], out int number)) names[piece[i]] = number = names.Count;
            vertex[i] = number;
            byLength[i] = i;
        }
        Array.Sort([.. length], byLength);
        var edges = new List<Edge>(n);
        foreach (int j in byLength)
            if (vertex[j] != vertex[(j + 1) % n]) edges.Add(new Edge(vertex[j], vertex[(j + 1) % n], j));
        var best = new double[n];
        Array.Fill(best, double.PositiveInfinity);
        foreach (bool complement in (bool[])[false, true])
            new EveryEnd(length, pattern, complement, rest, limit, best).Settle(0, n, names.Count, [.. edges], 0);
        return best;
    }

    /// <summary>A way between two pieces. The lists are always in the order of the ways' lengths.</summary>
    private readonly record struct Edge(int A, int B, int Way);

    private bool IsOn(int way, int end) => _pattern[way] ^ way < end ^ _complement;

    /// <summary>Works out all ends from low up to but not including high.</summary>
    private void Settle(int low, int high, int vertices, Edge[] edges, double joined)
    {
        // Needed even if every changing way were free: joined for good.
        int[] tree = Singles(vertices), contract = Singles(vertices);
        bool Changes(int way) => way >= low && way < high - 1;
        foreach (Edge e in edges)
            if (Changes(e.Way)) Unite(tree, e.A, e.B);
        foreach (Edge e in edges)
            if (!Changes(e.Way) && IsOn(e.Way, low) && Unite(tree, e.A, e.B)) Unite(contract, e.A, e.B);
        foreach (Edge e in edges)
            if (!Changes(e.Way) && !IsOn(e.Way, low) && Unite(tree, e.A, e.B))
            {
                Unite(contract, e.A, e.B);
                joined += 2 * _length[e.Way];
            }
        if (high - low == 1)
        {
            _best[low] = Math.Min(_best[low], _walked[low] + joined);
            return;
        }
        double bound = double.PositiveInfinity;
        for (int end = low; end < high; end++) bound = Math.Min(bound, _walked[end] + _rest[end]);
        if (bound + joined >= _limit) return;
        Edge[] kept = Kept(low, edges, contract, out int left, Changes);
        int middle = (low + high) / 2;
        Settle(low, middle, left, kept, joined);
        Settle(middle, high, left, kept, joined);
    }

    /// <summary>The changing ways, and of the others those that a tree of their own would use; the pieces numbered anew.</summary>
    private Edge[] Kept(int low, Edge[] edges, int[] contract, out int left, Func<int, bool> changes)
    {
        var number = new int[contract.Length];
        left = 0;
        for (int v = 0; v < contract.Length; v++)
            if (contract[v] == v) number[v] = left++;
        for (int v = 0; v < contract.Length; v++)
            number[v] = number[Find(contract, v)];
        int[] forest = Singles(left);
        var keep = new bool[edges.Length];
        int count = 0;
        foreach (bool on in (ReadOnlySpan<bool>)[true, false])
            for (int i = 0; i < edges.Length; i++)
            {
                Edge e = edges[i];
                if (number[e.A] == number[e.B] || keep[i]) continue;
                if (!(changes(e.Way) || IsOn(e.Way, low) == on && Unite(forest, number[e.A], number[e.B]))) continue;
                keep[i] = true;
                count++;
            }
        var kept = new Edge[count];
        for (int i = edges.Length - 1; i >= 0; i--)
            if (keep[i]) kept[--count] = new Edge(number[edges[i].A], number[edges[i].B], edges[i].Way);
        return kept;
    }

    private static int[] Singles(int count)
    {
        var parent = new int[count];
        for (int i = 0; i < count; i++) parent[i] = i;
        return parent;
    }

    private static int Find(int[] parent, int i)
    {
        while (parent[i] != i) i = parent[i] = parent[parent[i]];
        return i;
    }

    private static bool Unite(int[] parent, int a, int b)
    {
        int ra = Find(parent, a), rb = Find(parent, b);
        if (ra == rb) return false;
        parent[ra] = rb;
        return true;
    }
}
