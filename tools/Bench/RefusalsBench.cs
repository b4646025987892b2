using Analyzer.Core.Report;
using Analyzer.Testing;

namespace Analyzer.Bench;

/// <summary>Invented bad photos of every kind (must be refused or cautioned) and good ones (must not be refused); the true corners are given, so that the cloth itself is judged.</summary>
/// <remarks>refusals [bad] [good] [first seed] [side of the block in mm].</remarks>
internal static class RefusalsBench
{
    public static int Run(string[] args)
    {
        int bad = Probe.Number(args, 0, 60), good = Probe.Number(args, 1, 60), seed = Probe.Number(args, 2, 50_000), side = Probe.Number(args, 3, 100);
        var kinds = new Dictionary<BadKind, (int All, int Told, int Refused)>();
        for (int i = 0; i < bad; i++)
        {
            BadPhoto photo = BadPhotos.Random(seed + i, side);
            AccuracyReport report = Probe.MeasureAtTrueCorners(photo.Render(), 0.5);
            (int all, int told, int refused) = kinds.GetValueOrDefault(photo.Kind);
            bool isTold = report.Outcome != "measured";
            kinds[photo.Kind] = (all + 1, told + (isTold ? 1 : 0), refused + (report.Outcome == "not-measurable" ? 1 : 0));
            Console.Error.WriteLine($"{(isTold ? " " : "!")} {seed + i} {photo.Kind}: {report.Outcome} {string.Join(',', report.Reasons.Select(r => r.Code))}");
        }
        int goodRefused = 0, goodCautioned = 0;
        for (int i = 0; i < good; i++)
        {
            SceneSettings scene = SceneSettings.Random(seed + i, i % 2 == 0 ? Tier.Easy : Tier.Ordinary, side);
            AccuracyReport report = Probe.MeasureAtTrueCorners(SceneRenderer.Render(scene), 0.5);
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
}
