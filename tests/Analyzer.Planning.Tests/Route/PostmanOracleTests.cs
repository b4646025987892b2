using Analyzer.Planning.Tests.Oracles;

namespace Analyzer.Planning.Tests.Route;

/// <summary>The oracle itself against known optima: external check H1 (route inspection of well-known graphs, unit edges).</summary>
public sealed class PostmanOracleTests
{
    public static TheoryData<string, int, string, int, int> KnownGraphs => new()
    {
        // name, points, edges as pairs, closed length, open length (H1)
        { "Konigsberg", 4, "01 01 02 02 03 13 23", 9, 8 },
        { "K4", 4, "01 02 03 12 13 23", 8, 7 },
        { "K5", 5, "01 02 03 04 12 13 14 23 24 34", 10, 10 },
        { "K6", 6, "01 02 03 04 05 12 13 14 15 23 24 25 34 35 45", 18, 17 },
        { "K3,3", 6, "03 04 05 13 14 15 23 24 25", 12, 11 },
        { "Cube", 8, "01 13 32 20 45 57 76 64 04 15 26 37", 16, 15 },
        { "Petersen", 10, "01 12 23 34 40 05 16 27 38 49 57 79 96 68 85", 20, 19 },
    };

    [Theory]
    [MemberData(nameof(KnownGraphs))]
    public void Postman_OfKnownGraph_HasPublishedLength(string name, int points, string edges, int closed, int open)
    {
        var graph = new Postman(points, edges.Split(' ').Select(e => (e[0] - '0', e[1] - '0', 1.0)));
        Assert.Equal(closed, graph.Length + graph.ClosedExtra(), 9);
        Assert.Equal(open, graph.Length + graph.OpenExtra(), 9);
        Assert.NotEmpty(name);
    }

    /// <summary>H1: square grid of a x b cells.</summary>
    [Theory]
    [InlineData(2, 2, 4, 2)]
    [InlineData(2, 3, 5, 2)]
    [InlineData(3, 3, 4, 3)]
    [InlineData(4, 4, 8, 6)]
    [InlineData(3, 5, 6, 5)]
    [InlineData(4, 5, 9, 6)]
    [InlineData(5, 5, 8, 7)]
    public void Postman_OfSquareCells_HasKnownExtra(int a, int b, int closed, int open)
    {
        var edges = new List<(int, int, double)>();
        for (int y = 0; y <= b; y++)
            for (int x = 0; x <= a; x++)
            {
                int here = y * (a + 1) + x;
                if (x < a) edges.Add((here, here + 1, 1));
                if (y < b) edges.Add((here, here + a + 1, 1));
            }
        var graph = new Postman((a + 1) * (b + 1), edges);
        Assert.Equal(2 * (a - 1) + 2 * (b - 1), graph.OddCount);
        Assert.Equal(closed, graph.ClosedExtra(), 9);
        Assert.Equal(open, graph.OpenExtra(), 9);
    }

    /// <summary>H1: a triangle cut into n rows of triangles is a closed trail, extra 0.</summary>
    [Theory]
    [InlineData(2)]
    [InlineData(5)]
    public void Postman_OfTriangularGrid_NeedsNothingExtra(int n)
    {
        int At(int row, int k) => row * (row + 1) / 2 + k;
        var edges = new List<(int, int, double)>();
        for (int row = 0; row < n; row++)
            for (int k = 0; k <= row; k++)
            {
                edges.Add((At(row, k), At(row + 1, k), 1));
                edges.Add((At(row, k), At(row + 1, k + 1), 1));
                edges.Add((At(row + 1, k), At(row + 1, k + 1), 1));
            }
        var graph = new Postman((n + 1) * (n + 2) / 2, edges);
        Assert.Equal(3 * n * (n + 1) / 2, graph.Edges);
        Assert.Equal(0, graph.OddCount);
        Assert.Equal(0, graph.ClosedExtra());
    }
}
