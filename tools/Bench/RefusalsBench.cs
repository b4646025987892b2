using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Bench;

/// <summary>Invented bad photos of every kind (must be refused or cautioned) and good ones (must not be refused); the true corners are given, so that the cloth itself is judged.</summary>
/// <remarks>refusals [bad] [good] [first seed] [side of the block in mm].</remarks>
internal static class RefusalsBench
{
    public static int Run(string[] args)
    {
        int Number(int at, int otherwise) => args.Length > at && int.TryParse(args[at], NumberStyles.None, CultureInfo.InvariantCulture, out int n) ? n : otherwise;
        int bad = Number(0, 60), good = Number(1, 60), seed = Number(2, 50_000), side = Number(3, 100);
        var kinds = new Dictionary<BadKind, (int All, int Told, int Refused)>();
        for (int i = 0; i < bad; i++)
        {
            BadPhoto photo = BadPhotos.Random(seed + i, side);
            AccuracyReport report = Measure(photo.Render());
            (int all, int told, int refused) = kinds.GetValueOrDefault(photo.Kind);
            bool isTold = report.Outcome != "measured";
            kinds[photo.Kind] = (all + 1, told + (isTold ? 1 : 0), refused + (report.Outcome == "not-measurable" ? 1 : 0));
            Console.Error.WriteLine($"{(isTold ? " " : "!")} {seed + i} {photo.Kind}: {report.Outcome} {string.Join(',', report.Reasons.Select(r => r.Code))}");
        }
        int goodRefused = 0, goodCautioned = 0;
        for (int i = 0; i < good; i++)
        {
            SceneSettings scene = SceneSettings.Random(seed + i, i % 2 == 0 ? Tier.Easy : Tier.Ordinary, side);
            AccuracyReport report = Measure(SceneRenderer.Render(scene));
            if (report.Outcome == "not-measurable") goodRefused++;
            if (report.Outcome == "measured-with-cautions") goodCautioned++;
            if (report.Outcome == "not-measurable") Console.Error.WriteLine($"! {seed + i} good: {string.Join(',', report.Reasons.Select(r => r.Code))} [{scene.Description}]");
        }
        Console.WriteLine("| bad photo | photos | refused or cautioned | of these refused |");
        Console.WriteLine("| --- | --- | --- | --- |");
        foreach ((BadKind kind, (int all, int told, int refused)) in kinds.OrderBy(k => k.Key)) Console.WriteLine($"| {kind} | {all} | {told} | {refused} |");
        Console.WriteLine($"| all | {kinds.Values.Sum(k => k.All)} | {kinds.Values.Sum(k => k.Told)} | {kinds.Values.Sum(k => k.Refused)} |");
        Console.WriteLine();
        Console.WriteLine($"Good photos: {good}, refused {goodRefused}, measured with cautions {goodCautioned}.");
        return 0;
    }

    private static AccuracyReport Measure(SyntheticPhoto rendered)
    {
        using Photo photo = PhotoReader.Read(rendered.ToJpeg(90), "photo.jpg");
        return new BlockAnalyzer().Analyze(photo, rendered.Truth.Grid, new AnalysisSettings { GivenCorners = rendered.Truth.Corners with { UncertaintyPx = 0.5 }, CornersExact = true, WithPicture = false }).Report;
    }
}
