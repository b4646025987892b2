using System.Diagnostics;
using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Tests.Corners;

namespace Analyzer.Bench;

/// <summary>Corner finder against rendered truth: share found, error, honesty of confidence and of the stated uncertainty, time.</summary>
internal static class CornersBench
{
    /// <summary>A corner farther off than this is wrong, mm.</summary>
    private const double WrongMm = 2;

    /// <summary>One photo with its truth, whoever made it.</summary>
    private sealed record Case(int Seed, byte[] Jpeg, IntendedGrid Grid, PhotoPoint[] Truth, Homography PhotoFromBlock, string What);

    private sealed record Result(int Seed, string What, double WorstMm, double[] CornersMm, double RefinedMm, CornerConfidence Confidence, double[] OverU, double Milliseconds, string Note);

    public static int Run(string[] args)
    {
        CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
        int count = Number(args, "--count", 30), seed = Number(args, "--seed", 1), side = Number(args, "--side", 0);
        string? pictures = Value(args, "--pictures"), tierName = Value(args, "--tier"), only = Value(args, "--only"), keep = Value(args, "--keep"), log = Value(args, "--log");
        bool drawn = args.Contains("--drawn"), rendered = args.Contains("--rendered") || tierName is not null || side > 0, quiet = args.Contains("--quiet");
        var results = new List<Result>();
        for (int i = 0; i < count; i++)
        {
            if (only is not null && !only.Split(',').Contains((seed + i).ToString())) continue;
            // Set-ups as different as can be: our two makers of photos in turn.
            Case one = drawn || (!rendered && (seed + i) % 2 == 1) ? Drawn(seed + i) : Scene(Settings(seed + i, tierName, side), keep);
            Result result = One(one, pictures);
            results.Add(result);
            string row = $"{result.Seed,6} {result.Confidence,-6} worst {result.WorstMm,7:0.000} mm  refined {result.RefinedMm,7:0.000} mm  {result.Milliseconds,5:0} ms  {result.What}  {result.Note}";
            if (!quiet) Console.WriteLine(row);
            if (log is not null) File.AppendAllText(log, row + "\n");
        }
        Summary(results);
        return 0;
    }

    /// <summary>Widely different set-ups, or with --tier the photos of one tier.</summary>
    private static SceneSettings Settings(int seed, string? tier, int sideMm)
    {
        if (tier is null) return SceneSettings.RandomSetup(seed, sideMm > 0 ? sideMm : null);
        Tier which = Enum.Parse<Tier>(tier, true);
        return sideMm > 0 ? SceneSettings.Random(seed, which, sideMm) : SceneSettings.Random(seed, which);
    }

    private static Result One(Case one, string? pictures)
    {
        using Photo photo = PhotoReader.Read(one.Jpeg, $"scene-{one.Seed}.jpg");
        var clock = Stopwatch.StartNew();
        FoundBlock? found = BlockFinder.Find(photo, one.Grid);
        double time = clock.Elapsed.TotalMilliseconds;
        string what = $"{one.What} {photo.WidthPx}x{photo.HeightPx}";
        double refined = WorstMm(one, CornerRefiner.Refine(photo, Clicked(one), one.Grid).Corners.ToArray()).Max();
        if (found is null) return new Result(one.Seed, what, double.PositiveInfinity, [], refined, CornerConfidence.Low, [], time, "nothing found");
        PhotoPoint[] corners = found.Corners.ToArray();
        double[] mm = WorstMm(one, corners), overU = new double[8];
        for (int k = 0; k < 8; k++)
        {
            double error = k % 2 == 0 ? corners[k / 2].X - one.Truth[k / 2].X : corners[k / 2].Y - one.Truth[k / 2].Y;
            overU[k] = Math.Abs(error) / Math.Sqrt(found.CovariancePx[k, k]);
        }
        string note = string.Join(' ', found.Scores.Select(p => $"{p.Key}={p.Value:0.00}")) + (found.QuarterTurns != 0 ? " TURNED" : "") + " " + string.Join("; ", found.Doubts);
        if (pictures is not null)
        {
            Directory.CreateDirectory(pictures);
            File.WriteAllBytes(Path.Combine(pictures, $"{one.Seed}.png"), CornerPicture.Png(photo, found));
        }
        return new Result(one.Seed, what, mm.Max(), mm, refined, found.Confidence, overU, time, note);
    }

    private static Case Drawn(int seed)
    {
        using DrawnScene scene = DrawnScene.Draw(seed);
        (double, double)[] mm = [.. scene.Grid.Size.Corners().Select(p => (p.Xmm, p.Ymm))];
        return new Case(seed, scene.Jpeg, scene.Grid, scene.Truth, Homography.FromFourPoints(mm, [.. scene.Truth.Select(p => (p.X, p.Y))]), scene.What);
    }

    /// <summary>Renders the scene, or takes it from the folder where an earlier run kept it.</summary>
    private static Case Scene(SceneSettings settings, string? keep)
    {
        string? path = keep is null ? null : Path.Combine(keep, $"{settings.Seed}-{settings.Surround.Kind}{settings.Tier}-{settings.Size.WidthMm:0}");
        string what = $"{settings.Surround.Kind} {settings.Table.Kind} {settings.GridName} {settings.Cloth.Print} tilt {settings.Camera.TiltDeg:0} turned {settings.Camera.RollDeg:0}";
        if (path is not null && File.Exists(path + ".jpg") && File.Exists(path + ".json"))
        {
            SceneTruth kept = TruthJson.Load(path + ".json");
            return new Case(settings.Seed, File.ReadAllBytes(path + ".jpg"), kept.Grid, kept.Corners.ToArray(), kept.PhotoFromBlock, what);
        }
        SyntheticPhoto rendered = SceneRenderer.Render(settings);
        byte[] jpeg = rendered.ToJpeg(settings.Finish.JpegQuality);
        if (path is not null)
        {
            Directory.CreateDirectory(keep!);
            TruthJson.Save(rendered.Truth, path + ".json");
            File.WriteAllBytes(path + ".jpg", jpeg);
        }
        return new Case(settings.Seed, jpeg, rendered.Truth.Grid, rendered.Truth.Corners.ToArray(), rendered.Truth.PhotoFromBlock, what);
    }

    private static double[] WorstMm(Case one, PhotoPoint[] found)
    {
        Homography mm = one.PhotoFromBlock.Inverse();
        return [.. Enumerable.Range(0, 4).Select(i =>
        {
            (double ax, double ay) = mm.Map(one.Truth[i].X, one.Truth[i].Y);
            (double bx, double by) = mm.Map(found[i].X, found[i].Y);
            return Math.Sqrt((ax - bx) * (ax - bx) + (ay - by) * (ay - by));
        })];
    }

    /// <summary>Marks up to 2 % of the longer side off, in any direction.</summary>
    private static BlockCorners Clicked(Case one)
    {
        var random = new Random(one.Seed);
        BlockSize size = one.Grid.Size;
        double most = CornerRefiner.MostOffShare * Math.Max(size.WidthMm, size.HeightMm);
        return BlockCorners.FromArray([.. size.Corners().Select(p =>
        {
            double angle = 2 * Math.PI * random.NextDouble(), off = most * Math.Sqrt(random.NextDouble());
            (double x, double y) = one.PhotoFromBlock.Map(p.Xmm + off * Math.Cos(angle), p.Ymm + off * Math.Sin(angle));
            return new PhotoPoint(x, y);
        })], 5);
    }

    private static void Summary(List<Result> results)
    {
        if (results.Count == 0) return;
        List<Result> right = [.. results.Where(r => r.WorstMm <= WrongMm)];
        double[] corners = [.. right.SelectMany(r => r.CornersMm).Order()], over = [.. right.SelectMany(r => r.OverU)];
        Console.WriteLine();
        Console.WriteLine($"found within {WrongMm} mm            {right.Count} of {results.Count}");
        Console.WriteLine($"  of these high / medium / low  {right.Count(r => r.Confidence == CornerConfidence.High)} / {right.Count(r => r.Confidence == CornerConfidence.Medium)} / {right.Count(r => r.Confidence == CornerConfidence.Low)}");
        Console.WriteLine($"wrong without saying low        {results.Count(r => r.WorstMm > WrongMm && r.Confidence != CornerConfidence.Low)}");
        if (corners.Length > 0)
        {
            Console.WriteLine($"corner error, median and p95    {corners[corners.Length / 2]:0.000} mm, {corners[(int)(0.95 * (corners.Length - 1))]:0.000} mm");
            Console.WriteLine($"inside 1 u and 2 u              {100.0 * over.Count(o => o <= 1) / over.Length:0.0} %, {100.0 * over.Count(o => o <= 2) / over.Length:0.0} %");
        }
        Console.WriteLine($"refined from bad marks          {results.Count(r => r.RefinedMm <= 1)} of {results.Count} within 1 mm");
        Console.WriteLine($"time, median                    {results.Select(r => r.Milliseconds).Order().ElementAt(results.Count / 2):0} ms");
    }

    private static int Number(string[] args, string name, int otherwise) => int.TryParse(Value(args, name), out int value) ? value : otherwise;

    private static string? Value(string[] args, string name)
    {
        int at = Array.IndexOf(args, name);
        return at >= 0 && at + 1 < args.Length ? args[at + 1] : null;
    }
}
