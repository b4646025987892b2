using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;

namespace Analyzer.Planning.Tests.Oracles;

/// <summary>
/// The least travel by trying everything: shortest way through all states (where the needle is, which lines are sewn, which ditch is sewn).
/// Shares only the border ring with the planner. For small blocks.
/// </summary>
public static class Exhaustive
{
    /// <summary>Border already sewn; lines of each group in turn, all of a group before any of the next. Walking costs its length.</summary>
    public static double LinesInGroups(BorderRing ring, IntendedGrid grid, int start, IReadOnlyList<int> groupOfLine)
    {
        int lines = grid.Lines.Count, full = (1 << lines) - 1;
        int groups = groupOfLine.Max() + 1;
        var masks = new int[groups];
        for (int i = 0; i < lines; i++) masks[groupOfLine[i]] |= 1 << i;
        IEnumerable<(int Node, int State, double Cost)> Moves(int node, int state)
        {
            int next = (node + 1) % ring.Count, back = (node + ring.Count - 1) % ring.Count;
            yield return (next, state, ring.Gaps[node]);
            yield return (back, state, ring.Gaps[back]);
            int open = 0;
            while (open < groups && (state & masks[open]) == masks[open]) open++;
            for (int i = 0; i < lines; i++)
            {
                if ((state >> i & 1) == 1 || groupOfLine[i] != open) continue;
                if (ring.EndNodes[2 * i] == node) yield return (ring.EndNodes[2 * i + 1], state | 1 << i, 0);
                if (ring.EndNodes[2 * i + 1] == node) yield return (ring.EndNodes[2 * i], state | 1 << i, 0);
            }
        }
        return Shortest(ring.Count, 1 << lines, start, (_, state) => state == full, Moves);
    }

    /// <summary>Border and lines in any order; only ditch that is already sewn costs.</summary>
    public static double Anything(BorderRing ring, IntendedGrid grid, int start)
    {
        int lines = grid.Lines.Count, n = ring.Count, full = (1 << lines + n) - 1;
        IEnumerable<(int Node, int State, double Cost)> Moves(int node, int state)
        {
            int next = (node + 1) % n, back = (node + n - 1) % n;
            yield return (next, state | 1 << lines + node, (state >> lines + node & 1) == 1 ? ring.Gaps[node] : 0);
            yield return (back, state | 1 << lines + back, (state >> lines + back & 1) == 1 ? ring.Gaps[back] : 0);
            for (int i = 0; i < lines; i++)
            {
                if ((state >> i & 1) == 1) continue;
                if (ring.EndNodes[2 * i] == node) yield return (ring.EndNodes[2 * i + 1], state | 1 << i, 0);
                if (ring.EndNodes[2 * i + 1] == node) yield return (ring.EndNodes[2 * i], state | 1 << i, 0);
            }
        }
        return Shortest(n, 1 << lines + n, start, (_, state) => state == full, Moves);
    }

    /// <summary>Fewest cuts with border and lines sewn exactly once and nothing twice; a cut may restart anywhere.</summary>
    public static int FewestCuts(BorderRing ring, IntendedGrid grid, int start, bool withBorder)
    {
        int lines = grid.Lines.Count, n = ring.Count, pieces = withBorder ? lines + n : lines, full = (1 << pieces) - 1;
        IEnumerable<(int Node, int State, double Cost)> Moves(int node, int state)
        {
            for (int p = 0; p < pieces; p++)
            {
                if ((state >> p & 1) == 1) continue;
                (int a, int b) = p < lines ? (ring.EndNodes[2 * p], ring.EndNodes[2 * p + 1]) : (p - lines, (p - lines + 1) % n);
                bool here = a == node || b == node;
                if (a == node) yield return (b, state | 1 << p, 0);
                if (b == node) yield return (a, state | 1 << p, 0);
                if (here) continue;
                yield return (b, state | 1 << p, 1);
                yield return (a, state | 1 << p, 1);
            }
        }
        return (int)Math.Round(Shortest(n, 1 << pieces, start, (_, state) => state == full, Moves));
    }

    private static double Shortest(int nodes, int states, int start, Func<int, int, bool> done, Func<int, int, IEnumerable<(int Node, int State, double Cost)>> moves)
    {
        var best = new double[(long)nodes * states];
        Array.Fill(best, double.PositiveInfinity);
        var queue = new PriorityQueue<(int Node, int State), double>();
        best[start] = 0;
        queue.Enqueue((start, 0), 0);
        while (queue.TryDequeue(out (int Node, int State) at, out double cost))
        {
            if (cost > best[(long)at.State * nodes + at.Node] + 1e-12) continue;
            if (done(at.Node, at.State)) return cost;
            foreach ((int node, int state, double more) in moves(at.Node, at.State))
            {
                long key = (long)state * nodes + node;
                if (cost + more >= best[key] - 1e-12) continue;
                best[key] = cost + more;
                queue.Enqueue((node, state), cost + more);
            }
        }
        return double.PositiveInfinity;
    }
}
