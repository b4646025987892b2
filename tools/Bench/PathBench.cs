using System.Diagnostics;
using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;

namespace Analyzer.Bench;

/// <summary>Time of the travel path: all four corners of a three-family grid of 10 to 160 lines a family, best and median of the runs.</summary>
internal static class PathBench
{
    /// <summary>The 40 x 40 grid must be planned from all four corners within this time, ms.</summary>
    private const double LimitMs = 50;

    public static int Run(string[] args)
    {
        int runs = args.Length > 0 && int.TryParse(args[0], NumberStyles.None, CultureInfo.InvariantCulture, out int given) ? Math.Clamp(given, 1, 1000) : 15;
        Console.WriteLine($"Travel path, four corners each. {Environment.ProcessorCount} cores, .NET {Environment.Version}, {runs} runs.");
        Console.WriteLine("lines a family   lines in all   rule                    best ms   median ms   per line us");
        bool inTime = true;
        foreach (string kind in (string[])["closing", "not closing", "loops only"])
            foreach (int n in (int[])[10, 20, 40, 80, 160])
                foreach (RouteRule rule in (RouteRule[])[RouteRule.BorderThenLastFamily, RouteRule.BorderFirst, RouteRule.AnyOrder])
                {
                    IntendedGrid grid = Triangle(n, kind);
                    double[] times = [.. Enumerable.Range(0, runs + 3).Select(_ => Time(grid, rule)).Skip(3).Order()];
                    double median = times[times.Length / 2];
                    Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                        $"{n,4} {kind,-11}   {grid.Lines.Count,8}       {rule,-22} {times[0],8:0.00}   {median,8:0.00}   {1000 * times[0] / grid.Lines.Count,8:0.0}"));
                    if (n == 40 && median > LimitMs) inTime = false;
                }
        Console.WriteLine(inTime ? $"40 lines a family: within {LimitMs:0} ms." : $"40 lines a family: SLOWER than {LimitMs:0} ms.");
        return inTime ? 0 : 1;
    }

    private static double Time(IntendedGrid grid, RouteRule rule)
    {
        long start = Stopwatch.GetTimestamp();
        var planner = new RoutePlanner(grid);
        foreach (BlockCorner corner in Enum.GetValues<BlockCorner>()) planner.Plan(rule, corner);
        return Stopwatch.GetElapsedTime(start).TotalMilliseconds;
    }

    /// <summary>
    /// n lines a family: 45 degrees and horizontals that meet on the border; the same moved off the corners, so that the diagonals are
    /// closed loops only; or an equilateral grid whose lines miss each other on the border.
    /// </summary>
    private static IntendedGrid Triangle(int n, string kind)
    {
        const double cellMm = 9;
        double side = n * cellMm / 2;
        var size = new BlockSize(Math.Max(side, 20), Math.Max(side, 20));
        if (kind == "not closing")
        {
            var corner = new BlockPoint(0, size.HeightMm);
            double d = side * (Math.Sin(Math.PI / 3) + 0.5) / n;
            return new IntendedGrid(size, [new LineFamily(60, d, corner), new LineFamily(-60, d, corner), new LineFamily(0, d, corner)]);
        }
        var through = new BlockPoint(kind == "closing" ? 0 : cellMm / 2, size.HeightMm);
        double spacing = cellMm / Math.Sqrt(2);
        return new IntendedGrid(size, [new LineFamily(45, spacing, through), new LineFamily(-45, spacing, through), new LineFamily(0, cellMm / 2, through)]);
    }
}
