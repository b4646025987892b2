using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Planning.Route;

/// <summary>
/// Finds the travel path with the fewest thread cuts and, among those, the least ditch sewn a second time. Exact.
/// Lines are sewn whole; every turn lies on the border, never at an inner crossing.
/// </summary>
public sealed class RoutePlanner
{
    /// <summary>So many ends are tried one by one before all are worked out together.</summary>
    private const int TriesBeforeAll = 12;

    private readonly IntendedGrid _grid;
    private readonly BorderRing _ring;
    private readonly double[] _lineAlong;
    private readonly (int A, int B)[] _chords;
    private readonly List<int> _early = [];
    private readonly List<int> _late = [];
    private readonly TravelProblem _lines;
    private readonly TravelProblem _linesAndBorder;

    public RoutePlanner(IntendedGrid grid)
    {
        _grid = grid;
        _ring = new BorderRing(grid.Size, grid.Lines);
        int n = grid.Lines.Count;
        _chords = new (int, int)[n];
        _lineAlong = new double[2 * n];
        int last = LastFamily(grid.Families);
        for (int i = 0; i < n; i++)
        {
            _chords[i] = (_ring.EndNodes[2 * i], _ring.EndNodes[2 * i + 1]);
            BlockPoint a = _ring.Point(_chords[i].A), b = _ring.Point(_chords[i].B);
            double length = a.DistanceTo(b), dx = (b.Xmm - a.Xmm) / length, dy = (b.Ymm - a.Ymm) / length;
            (double ax, double ay) = _ring.DirectionAfter(_chords[i].A);
            (double bx, double by) = _ring.DirectionAfter(_chords[i].B);
            _lineAlong[2 * i] = dx * ax + dy * ay;
            _lineAlong[2 * i + 1] = -dx * bx - dy * by;
            (grid.Lines[i].Family == last ? _late : _early).Add(i);
        }
        if (_early.Count == 0) (_early, _late) = (_late, _early);
        _lines = new TravelProblem(_ring.Gaps, _chords, joinedByBorder: false);
        _linesAndBorder = new TravelProblem(_ring.Gaps, _chords, joinedByBorder: true);
    }

    public BorderRing Ring => _ring;

    /// <summary>Number of the family that the trade sews last: the horizontals of a three-family grid, else the last given. -1 below three families.</summary>
    public static int LastFamily(IReadOnlyList<LineFamily> families)
    {
        if (families.Count < 3) return -1;
        for (int f = 0; f < families.Count; f++)
            if (Math.Abs(families[f].AlongY) < 1e-6) return f;
        return families.Count - 1;
    }

    /// <summary>The best route under a rule from a corner.</summary>
    /// <param name="backToStart">True when the route must end where it starts.</param>
    public StitchRoute Plan(RouteRule rule, BlockCorner start, bool backToStart = false)
    {
        int from = _ring.CornerNode(start);
        var walk = new List<(Way Way, bool Forward)>();
        switch (rule)
        {
            case RouteRule.BorderThenLastFamily when _late.Count > 0 && !backToStart:
                walk.AddRange(Lap(from));
                AddTwoPhases(walk, from);
                break;
            case RouteRule.BorderThenLastFamily:
            case RouteRule.BorderFirst:
                walk.AddRange(Lap(from));
                int end = backToStart ? from : BestEnd(_lines, from);
                walk.AddRange(Sew(_lines, Enumerable.Range(0, _chords.Length), from, end));
                break;
            case RouteRule.AnyOrder:
                walk.AddRange(SewWithBorder(from, backToStart ? from : BestEnd(_linesAndBorder, from)));
                break;
            case RouteRule.NoSecondPass:
                walk.AddRange(SewWithCuts(from));
                break;
            default:
                walk.AddRange(SewLinesOnly(from));
                break;
        }
        return ToRoute(rule, start, walk);
    }

    private List<(Way, bool)> Lap(int from) =>
        [.. Enumerable.Range(0, _ring.Count).Select(k => (DitchWay((from + k) % _ring.Count), true))];

    private Way DitchWay(int stretch) => new(WayKind.Ditch, stretch, stretch, (stretch + 1) % _ring.Count);

    private Way LineWay(int line) => new(WayKind.Line, line, _chords[line].A, _chords[line].B);

    /// <summary>The end with the shortest exact travel, looked for in the order of what parity and joining at least demand.</summary>
    /// <param name="limit">Travel that another way already reaches; ends that cannot beat it are not looked at.</param>
    private int BestEnd(TravelProblem problem, int start, double limit = double.PositiveInfinity)
    {
        double join = problem.JoinBound(start);
        var ends = new List<(double Bound, double Slack, int Node)>(_ring.Count);
        for (int t = 0; t < _ring.Count; t++)
            if (problem.Touches(t) || t == start)
            {
                double parity = problem.Bound(start, t);
                if (Math.Max(parity, join) < limit - 1e-9) ends.Add((Math.Max(parity, join), join - parity, t));
            }
        ends.Sort();
        double best = limit;
        int end = start, tried = 0;
        foreach ((double bound, _, int t) in ends)
        {
            if (bound >= best - 1e-9) break;
            if (tried++ == TriesBeforeAll) return BestOfAll(problem.SolveEveryEnd(start, null, best + 1e-6), start, limit);
            double exact = problem.Solve(start, t).TravelMm;
            if (exact < best - 1e-9) (best, end) = (exact, t);
        }
        return end;
    }

    private static int BestOfAll(double[] travel, int start, double limit)
    {
        int end = start;
        double best = limit;
        for (int t = 0; t < travel.Length; t++)
            if (travel[t] < best - 1e-9) (best, end) = (travel[t], t);
        return end;
    }

    private List<(Way, bool)> Sew(TravelProblem problem, IEnumerable<int> lines, int start, int end)
    {
        byte[] times = problem.Solve(start, end).Times;
        var ways = lines.Select(LineWay).ToList();
        for (int e = 0; e < times.Length; e++)
            for (int k = 0; k < times[e]; k++) ways.Add(DitchWay(e));
        return TrailBuilder.Walk(_ring, ways, _lineAlong, start, end);
    }

    private List<(Way, bool)> SewWithBorder(int start, int end)
    {
        byte[] times = _linesAndBorder.Solve(start, end).Times;
        var ways = Enumerable.Range(0, _chords.Length).Select(LineWay).ToList();
        for (int e = 0; e < times.Length; e++)
            for (int k = 0; k <= times[e]; k++) ways.Add(DitchWay(e));
        return TrailBuilder.Walk(_ring, ways, _lineAlong, start, end);
    }

    /// <summary>
    /// All families but the last to a middle point, then the last family from there: the sum is the smallest over all middle points
    /// and ends, searched in the order of bounds that never exceed the exact value. Where many middle points stay possible, the first
    /// part is worked out for all of them together.
    /// </summary>
    private void AddTwoPhases(List<(Way, bool)> walk, int start)
    {
        var early = new TravelProblem(_ring.Gaps, [.. _early.Select(i => _chords[i])], false);
        var late = new TravelProblem(_ring.Gaps, [.. _late.Select(i => _chords[i])], false);
        (double[] rest, int[] restEnds) = late.BestBounds();
        double joinFirst = early.JoinBound(start), join = late.JoinBound();
        var first = new double[_ring.Count];
        for (int m = 0; m < first.Length; m++)
        {
            rest[m] = Math.Max(rest[m], join);
            first[m] = early.Touches(m) || m == start ? Math.Max(early.Bound(start, m), joinFirst) : double.PositiveInfinity;
        }
        double best = double.PositiveInfinity;
        int middle = start, end = start, tried = 0;
        bool exact = false, searching = true;
        while (searching)
        {
            searching = false;
            foreach (int m in Enumerable.Range(0, first.Length).Where(m => first[m] + rest[m] < best - 1e-9).OrderBy(m => first[m] + rest[m]).ToList())
            {
                if (first[m] + rest[m] >= best - 1e-9) break;
                if (!exact && tried++ == TriesBeforeAll)
                {
                    first = early.SolveEveryEnd(start, rest, best);
                    exact = searching = true;
                    break;
                }
                double one = exact ? first[m] : early.Solve(start, m).TravelMm;
                if (one + rest[m] >= best - 1e-9) continue;
                int t = restEnds[m];
                double second = late.Solve(m, t).TravelMm;
                if (one + second < best - 1e-9) (best, middle, end) = (one + second, m, t);
                // Where the likeliest end does not reach its bound, the others that could beat the best so far are searched.
                if (second <= rest[m] + 1e-9) continue;
                t = BestEnd(late, m, best - one);
                second = late.Touches(t) ? late.Solve(m, t).TravelMm : double.PositiveInfinity;
                if (one + second < best - 1e-9) (best, middle, end) = (one + second, m, t);
            }
        }
        walk.AddRange(Sew(early, _early, start, middle));
        walk.AddRange(Sew(late, _late, middle, end));
    }

    /// <summary>Border and lines once each; where travel would be needed the thread is cut and jumps instead.</summary>
    private List<(Way, bool)> SewWithCuts(int start)
    {
        bool[] odd = _linesAndBorder.Odd;
        var ends = Enumerable.Range(0, _ring.Count).Where(t => odd[t]).DefaultIfEmpty(start)
            .OrderBy(t => _linesAndBorder.Bound(start, t)).ToList();
        // Starting at an odd corner and ending at another odd point saves a cut; ending where it starts would not.
        int end = ends.FirstOrDefault(t => t != start, start);
        byte[] times = _linesAndBorder.Solve(start, end).Times;
        var ways = Enumerable.Range(0, _chords.Length).Select(LineWay).ToList();
        int n = _ring.Count;
        for (int e = 0; e < n; e++) ways.Add(DitchWay(e));
        bool Mends(int node) => odd[node] ^ (node == start) ^ (node == end);
        for (int e = 0; e < n; e++)
        {
            if (times[e] == 0 || !Mends(e)) continue;
            int to = (e + 1) % n;
            while (!Mends(to)) to = (to + 1) % n;
            ways.Add(new Way(WayKind.Jump, 0, e, to));
        }
        return TrailBuilder.Walk(_ring, ways, _lineAlong, start, end);
    }

    /// <summary>Lines alone: each connected piece needs max(1, odd/2) threads, and the pieces follow each other round the block.</summary>
    private List<(Way, bool)> SewLinesOnly(int corner)
    {
        int n = _ring.Count;
        var pieces = new Pieces(n);
        foreach ((int a, int b) in _chords) pieces.Unite(a, b);
        var order = new List<int>();
        var stops = new Dictionary<int, List<int>>();
        for (int k = 0; k < n; k++)
        {
            int node = (corner + k) % n;
            if (!_lines.Touches(node)) continue;
            int piece = pieces.Find(node);
            if (!stops.TryGetValue(piece, out List<int>? list))
            {
                stops[piece] = list = [];
                order.Add(piece);
            }
            if (_lines.Odd[node]) list.Add(node);
        }
        var ways = Enumerable.Range(0, _chords.Length).Select(LineWay).ToList();
        int start = -1, end = -1;
        foreach (int piece in order)
        {
            List<int> odd = stops[piece];
            if (odd.Count == 0) odd = [FirstOf(piece), FirstOf(piece)];
            for (int i = 0; i < odd.Count; i += 2)
            {
                if (start < 0) start = odd[0];
                else ways.Add(new Way(WayKind.Jump, 0, end, odd[i]));
                end = odd[i + 1];
            }
        }
        return TrailBuilder.Walk(_ring, ways, _lineAlong, start, end);

        int FirstOf(int piece)
        {
            for (int k = 0; k < n; k++)
            {
                int node = (corner + k) % n;
                if (_lines.Touches(node) && pieces.Find(node) == piece) return node;
            }
            return corner;
        }
    }

    private StitchRoute ToRoute(RouteRule rule, BlockCorner start, List<(Way Way, bool Forward)> walk)
    {
        var steps = new List<RouteStep>();
        var sewn = new bool[_ring.Count];
        var points = new List<BlockPoint>();
        int pivots = 0, bounces = 0, cuts = 0;
        for (int i = 0; i < walk.Count; i++)
        {
            (Way way, bool forward) = walk[i];
            int a = forward ? way.A : way.B, b = forward ? way.B : way.A;
            StepKind kind = KindOf(way, sewn);
            bool goesOn = i > 0 && kind is StepKind.Ditch or StepKind.DitchAgain && steps.Count > 0 && steps[^1].Kind == kind
                && walk[i - 1].Way.Kind == WayKind.Ditch && walk[i - 1].Forward == forward;
            if (i > 0 && way.Kind != WayKind.Jump && walk[i - 1].Way.Kind != WayKind.Jump)
            {
                bool straight = way.Kind == WayKind.Ditch && walk[i - 1].Way.Kind == WayKind.Ditch && walk[i - 1].Forward == forward && !_ring.IsCorner(a);
                if (!straight) pivots++;
                if (way.Kind == WayKind.Line && walk[i - 1].Way.Kind == WayKind.Line) bounces++;
            }
            if (kind == StepKind.Cut) cuts++;
            string? id = kind == StepKind.Line ? _grid.Lines[way.Item].Id : null;
            if (goesOn)
            {
                points.AddRange(steps[^1].Points);
                if (!_ring.IsCorner(a)) points.RemoveAt(points.Count - 1);
                points.Add(_ring.Point(b));
                steps[^1] = new RouteStep(steps.Count, kind, null, [.. points]);
                points.Clear();
            }
            else
            {
                steps.Add(new RouteStep(steps.Count + 1, kind, id, [_ring.Point(a), _ring.Point(b)]));
            }
        }
        return new StitchRoute { Rule = rule, Start = start, Steps = steps, Cuts = cuts, Pivots = pivots, Bounces = bounces };
    }

    private static StepKind KindOf(Way way, bool[] sewn)
    {
        if (way.Kind == WayKind.Line) return StepKind.Line;
        if (way.Kind == WayKind.Jump) return StepKind.Cut;
        if (sewn[way.Item]) return StepKind.DitchAgain;
        sewn[way.Item] = true;
        return StepKind.Ditch;
    }

    /// <summary>Which points hang together.</summary>
    private sealed class Pieces(int count)
    {
        private readonly int[] _parent = [.. Enumerable.Range(0, count)];

        public int Find(int i)
        {
            while (_parent[i] != i) i = _parent[i] = _parent[_parent[i]];
            return i;
        }

        public void Unite(int a, int b) => _parent[Find(a)] = Find(b);
    }
}
