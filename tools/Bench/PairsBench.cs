using System.Diagnostics;
using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Simulation;

namespace Analyzer.Bench;

/// <summary>False alarms and interval coverage of the comparison on invented pairs of blocks: "pairs COUNT [--seed S] [--out FILE]".</summary>
internal static class PairsBench
{
    private sealed record Case(string Name, IntendedGrid Grid, Skill Before, Skill After);

    public static int Run(string[] args)
    {
        int count = args.Length > 0 && int.TryParse(args[0], out int n) ? n : 1000;
        int seed = int.Parse(After(args, "--seed") ?? "1", CultureInfo.InvariantCulture);
        string? only = After(args, "--case");
        var text = new StringWriter(CultureInfo.InvariantCulture);
        foreach (Case c in Cases().Where(c => only is null || c.Name.Contains(only, StringComparison.OrdinalIgnoreCase)))
            RunCase(c, count, seed, text);
        Console.Write(text.ToString());
        if (After(args, "--out") is { } path) File.WriteAllText(path, text.ToString());
        return 0;
    }

    private static IEnumerable<Case> Cases()
    {
        var size = new BlockSize(203.2, 203.2);
        IntendedGrid Grid(string name, double inches) => new(size, NamedGrids.Families(name, Length.FromInches(inches), size)!);
        var ordinary = new Skill();
        var poorPhoto = new Skill { CornerUMm = 0.35, ShapeUMm = 0.12 };
        var biased = new Skill { FamilyOffsetMm = [0.6, -0.3, 0.2], FamilyAngleDeg = [0.15], OvershootMm = 0.6 };
        yield return new("no change, square 1 in (14 lines)", Grid("square", 1), ordinary, ordinary);
        yield return new("no change, triangle 1 in", Grid("triangle", 1), ordinary, ordinary);
        yield return new("no change, triangle 1 in, biased maker", Grid("triangle", 1), biased, biased);
        yield return new("no change, square 1 in, one poor photo", Grid("square", 1), ordinary, poorPhoto);
        yield return new("true change, square 1 in: all errors down by 30 %", Grid("square", 1), ordinary, ordinary with
        {
            OffsetSdMm = 0.28,
            AngleSdDeg = 0.084,
            WobbleMm = 0.21,
            AimMm = 0.07,
            OvershootSdMm = 0.35,
            DistortionMm = 0.084,
        });
    }

    private static void RunCase(Case c, int count, int seed, StringWriter text)
    {
        var clock = Stopwatch.StartNew();
        var truth = TrueDifferences(c, seed);
        var rows = new Dictionary<string, Tally>();
        int alarms = 0, calls = 0;
        var compared = new Comparison[count];
        Parallel.For(0, count, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount }, pair =>
        {
            int s = (seed * 1_000_003) + 2 * pair;
            compared[pair] = BlockComparer.Compare(Block(c.Grid, c.Before, s), Block(c.Grid, c.After, s + 1));
        });
        foreach (Comparison comparison in compared)
        {
            bool any = false;
            foreach (ComparisonRow row in comparison.Rows)
            {
                string key = Key(row);
                if (!rows.TryGetValue(key, out Tally? tally)) rows[key] = tally = new Tally();
                tally.Count++;
                if (row.Low <= truth[key] && truth[key] <= row.High) tally.Covered++;
                if (row.Verdict is Verdict.Better or Verdict.Worse) tally.Called++;
                any |= row.Verdict is Verdict.Better or Verdict.Worse;
                if (double.IsFinite(row.DetectableChange))
                {
                    tally.Detectable += row.DetectableChange;
                    tally.Detected++;
                }
                tally.Squares += (row.Difference - truth[key]) * (row.Difference - truth[key]);
                tally.Stated += row.LinesU * row.LinesU + row.PhotoU * row.PhotoU;
            }
            if (any) alarms++;
            calls++;
        }
        bool change = c.Before != c.After && c.Name.StartsWith("true", StringComparison.Ordinal);
        text.WriteLine($"## {c.Name}");
        text.WriteLine();
        text.WriteLine($"{count} pairs, seed {seed}, {clock.Elapsed.TotalSeconds:0.0} s. Pairs with at least one \"better\" or \"worse\": {100.0 * alarms / calls:0.0} %{(change ? "" : " (all of them false; at most 5 % asked)")}.");
        text.WriteLine();
        text.WriteLine("| row | true difference | interval covers it | stated / true spread | called | detectable change |");
        text.WriteLine("| --- | ---: | ---: | ---: | ---: | ---: |");
        foreach ((string key, Tally t) in rows)
        {
            string note = 100.0 * t.Covered / t.Count is double held && held < 93 ? " (low)" : held > 97 ? " (wide)" : "";
            text.WriteLine($"| {key} | {truth[key]:0.000} | {100.0 * t.Covered / t.Count:0.0} %{note} | {Math.Sqrt(t.Stated / t.Squares):0.00} | {100.0 * t.Called / t.Count:0.0} % | {t.Detectable / Math.Max(1, t.Detected):0.00} |");
        }
        text.WriteLine();
    }

    /// <summary>The difference a pair tends to, from many blocks of their own seeds; zero where maker and photo are the same.</summary>
    private static Dictionary<string, double> TrueDifferences(Case c, int seed)
    {
        int blocks = c.Before == c.After ? 1 : 1500;
        var sums = new Dictionary<string, double>();
        for (int i = 0; i < blocks; i++)
        {
            int s = 500_000_000 + seed * 7_919_000 + 2 * i;
            Skill truthBefore = c.Before, truthAfter = c.After;
            // What the interval is asked to hold is the change of the maker: both seen through the first photo.
            if (!c.Name.StartsWith("true", StringComparison.Ordinal)) truthAfter = truthBefore;
            Comparison comparison = BlockComparer.Compare(Block(c.Grid, truthBefore, s), Block(c.Grid, truthAfter, s + 1));
            foreach (ComparisonRow row in comparison.Rows)
                sums[Key(row)] = sums.GetValueOrDefault(Key(row)) + (c.Name.StartsWith("true", StringComparison.Ordinal) ? row.Difference / blocks : 0);
        }
        return sums;
    }

    private static ComparedBlock Block(IntendedGrid grid, Skill skill, int seed) =>
        new(InventedBlock.Make(grid, skill, seed), "invented", BlockComparer.DefaultToleranceMm);

    private static string Key(ComparisonRow row) => $"{row.Measure.Name}, {row.FamilyName}";

    private static string? After(string[] args, string name)
    {
        int at = Array.IndexOf(args, name);
        return at >= 0 && at + 1 < args.Length ? args[at + 1] : null;
    }

    private sealed class Tally
    {
        public int Count, Covered, Called, Detected;

        public double Detectable, Squares, Stated;
    }
}
