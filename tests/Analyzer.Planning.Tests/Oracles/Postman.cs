namespace Analyzer.Planning.Tests.Oracles;

/// <summary>
/// Route inspection on any small graph by matching its odd points in every way (dynamic programme over subsets).
/// Shares no code with the planner. Closed: all odd points are matched; open: the best two are left over.
/// </summary>
public sealed class Postman
{
    private readonly double[,] _distance;
    private readonly int[] _degree;
    private readonly int _nodes;

    /// <param name="sewnOnly">Edges that must be walked once but may not be walked again.</param>
    public Postman(int nodes, IEnumerable<(int A, int B, double Length)> edges, IEnumerable<(int A, int B)>? sewnOnly = null)
    {
        _nodes = nodes;
        _distance = new double[nodes, nodes];
        _degree = new int[nodes];
        for (int i = 0; i < nodes; i++)
            for (int j = 0; j < nodes; j++) _distance[i, j] = i == j ? 0 : 1e9;
        foreach ((int a, int b, double length) in edges)
        {
            Edges++;
            Length += length;
            _degree[a]++;
            _degree[b]++;
            _distance[a, b] = _distance[b, a] = Math.Min(_distance[a, b], length);
        }
        foreach ((int a, int b) in sewnOnly ?? [])
        {
            _degree[a]++;
            _degree[b]++;
        }
        for (int k = 0; k < nodes; k++)
            for (int i = 0; i < nodes; i++)
                for (int j = 0; j < nodes; j++)
                    _distance[i, j] = Math.Min(_distance[i, j], _distance[i, k] + _distance[k, j]);
    }

    public int Edges { get; }

    public double Length { get; }

    public int OddCount => _degree.Count(d => d % 2 == 1);

    public double ClosedExtra() => Match(Odd(-1))[^1];

    /// <summary>Best start and end: two odd points are left out of the matching.</summary>
    public double OpenExtra()
    {
        List<int> odd = Odd(-1);
        double[] best = Match(odd);
        double least = best[^1];
        for (int i = 0; i < odd.Count; i++)
            for (int j = 0; j < i; j++) least = Math.Min(least, best[(best.Length - 1) & ~(1 << i) & ~(1 << j)]);
        return least;
    }

    /// <summary>Start given, end free: the start changes its parity and one odd point, the end, is left out.</summary>
    public double OpenExtraFrom(int start)
    {
        List<int> odd = Odd(start);
        double[] best = Match(odd);
        return Enumerable.Range(0, odd.Count).Min(i => best[(best.Length - 1) & ~(1 << i)]);
    }

    private List<int> Odd(int start) => [.. Enumerable.Range(0, _nodes).Where(i => (_degree[i] + (i == start ? 1 : 0)) % 2 == 1)];

    /// <summary>For every subset of the odd points, the least length that pairs them all; infinite for odd subsets.</summary>
    private double[] Match(List<int> odd)
    {
        int n = odd.Count;
        var best = new double[1 << n];
        for (int set = 1; set < best.Length; set++)
        {
            best[set] = double.PositiveInfinity;
            if (int.PopCount(set) % 2 == 1) continue;
            int first = int.TrailingZeroCount(set);
            for (int other = first + 1; other < n; other++)
                if ((set >> other & 1) == 1)
                    best[set] = Math.Min(best[set], best[set & ~(1 << first) & ~(1 << other)] + _distance[odd[first], odd[other]]);
        }
        return best;
    }
}
