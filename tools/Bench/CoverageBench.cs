using System.Globalization;
using Analyzer.Testing;

namespace Analyzer.Bench;

/// <summary>How often the truth lies within 2u, and the errors themselves, over many photos: one rendering a photo, so that two hundred of a tier are done in some minutes.</summary>
/// <remarks>coverage [photos per tier] [first seed] [side of the block in mm, 0 = the scene's own] [easy,ordinary,hard] [found: the program finds the corners itself]</remarks>
internal static class CoverageBench
{
    /// <summary>So many photos are rendered and measured side by side; each takes a good 200 MB.</summary>
    private const int AtATime = 2;

    /// <summary>Photos with an error of more than so many u are named: something was far off and sure of itself.</summary>
    private const double SureAndFar = 10;

    public static int Run(string[] args)
    {
        bool findCorners = args.Contains("found");
        args = [.. args.Where(a => a != "found")];
        int count = Probe.Number(args, 0, 200), seed = Probe.Number(args, 1, 1000), side = Probe.Number(args, 2, 110);
        string tiers = args.Length > 3 ? args[3] : "easy,ordinary,hard";
        List<string> errors = [], rows = [], angles = [];
        foreach (Tier tier in Enum.GetValues<Tier>())
        {
            if (!tiers.Contains(tier.ToString(), StringComparison.OrdinalIgnoreCase)) continue;
            string name = tier.ToString().ToLowerInvariant();
            var sum = new Tally();
            var all = new Tally?[count];
            int done = 0;
            Parallel.For(0, count, new ParallelOptions { MaxDegreeOfParallelism = AtATime }, i =>
            {
                SceneSettings scene = side > 0 ? SceneSettings.Random(seed + i, tier, sideMm: side) : SceneSettings.Random(seed + i, tier);
                Tally one = AccuracyBench.Measure(SceneRenderer.Render(scene), $"{name}-{seed + i}", findCorners: findCorners);
                one.Report = null;
                all[i] = one;
                if (one.FarthestOverU > SureAndFar) Console.Error.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name}-{seed + i}: {one.FarthestWhat} off by {one.FarthestOverU:0} u"));
                if (one.Refused > 0) Console.Error.WriteLine($"{name}-{seed + i}: {one.Outcome}");
                int now = Interlocked.Increment(ref done);
                if (now % 20 == 0 || now == count) Console.Error.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name}: {now} of {count} photos"));
            });
            foreach (Tally? one in all) sum.Add(one!);
            errors.Add(sum.Row(name));
            rows.Add(sum.CoverageRow(name));
            angles.Add(sum.AngleRow(name));
        }
        AccuracyBench.WriteErrors(errors);
        Console.WriteLine();
        Write(rows);
        Console.WriteLine();
        AccuracyBench.WriteAngles(angles);
        return 0;
    }

    internal static void Write(List<string> rows)
    {
        Console.WriteLine("Truth within 2u, percent, and in brackets the root mean square of error over u: 1 where u is true, less where it is too wide.");
        Console.WriteLine();
        Console.WriteLine($"| tier | photos | refused | {string.Join(" | ", Tally.Quantities)} |");
        Console.WriteLine($"| --- | --- | --- |{string.Concat(Enumerable.Repeat(" --- |", Tally.Quantities.Length))}");
        foreach (string row in rows) Console.WriteLine(row);
    }
}
