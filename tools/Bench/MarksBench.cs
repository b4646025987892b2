using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.Testing;

namespace Analyzer.Bench;

/// <summary>Drawn marks against rendered truth: marked scenes (error of the mark's place, coverage) and unmarked ones (marks claimed).</summary>
/// <remarks>marks [marked scenes] [unmarked scenes] [first seed] [side of the block in mm] [verbose]</remarks>
internal static class MarksBench
{
    public static int Run(string[] args)
    {
        int marked = Probe.Number(args, 0, 10), plain = Probe.Number(args, 1, 10), seed = Probe.Number(args, 2, 30_000), side = Probe.Number(args, 3, 110);
        bool verbose = args.Contains("verbose");
        List<double> samples = [], offsets = [], stitch = [];
        var ends = new EndsTally();
        int offsetIn = 0, sampleIn = 0, stitchIn = 0, shown = 0, refused = 0, claimed = 0, lines = 0, traced = 0, done = 0, plainDone = 0;
        for (int s = seed; done < marked || plainDone < plain; s++)
        {
            SceneSettings scene = SceneSettings.Random(s, s % 3 == 0 ? Tier.Hard : s % 3 == 1 ? Tier.Ordinary : Tier.Easy, sideMm: side);
            bool hasMarks = scene.Marks is not null;
            if (hasMarks ? done >= marked : plainDone >= plain) continue;
            SyntheticPhoto rendered = SceneRenderer.Render(scene);
            SceneTruth truth = rendered.Truth;
            AccuracyReport report = Probe.MeasureAtTrueCorners(rendered, 1e-3);
            if (report.Outcome == "not-measurable") refused++;
            ends.Add(report, truth);
            if (!hasMarks)
            {
                plainDone++;
                if (report.Marks.Count > 0) claimed++;
                if (verbose) Console.WriteLine($"# {s} plain, marks claimed on {report.Marks.Count} lines [{truth.Description}] {report.Outcome}");
                continue;
            }
            done++;
            if (report.Marks.Count > 0) shown++;
            var own = new List<double>();
            foreach (MarkReport mark in report.Marks)
            {
                LineTruth real = truth.Lines.First(l => l.Id == mark.LineId);
                if (verbose && args.Contains("lines"))
                    Console.WriteLine(FormattableString.Invariant($"#   {mark.LineId} mark {mark.MarkOffsetMm.Value:0.00} u {mark.MarkOffsetMm.U:0.00} true {real.MarkSummary.OffsetMm:0.00}, thread {real.Summary.OffsetMm:0.00}"));
                Dictionary<int, double> at = real.MarkSamples.ToDictionary(x => (int)Math.Round(x.AlongMm), x => x.DeviationMm), thread = real.Samples.ToDictionary(x => (int)Math.Round(x.AlongMm), x => x.DeviationMm);
                foreach (LineSample sample in mark.Samples)
                {
                    if (!at.TryGetValue((int)Math.Round(sample.AlongMm), out double t)) continue;
                    samples.Add(Math.Abs(sample.DeviationMm - t));
                    own.Add(Math.Abs(sample.DeviationMm - t));
                    if (Math.Abs(sample.DeviationMm - t) <= 2 * sample.U) sampleIn++;
                }
                traced++;
                double error = Math.Abs(mark.MarkOffsetMm.Value!.Value - real.MarkSummary.OffsetMm);
                offsets.Add(error);
                if (error <= 2 * mark.MarkOffsetMm.U) offsetIn++;
                double[] apart = [.. mark.Samples.Select(x => (int)Math.Round(x.AlongMm)).Where(k => at.ContainsKey(k) && thread.ContainsKey(k)).Select(k => thread[k] - at[k])];
                if (apart.Length == 0) continue;
                double miss = Math.Abs(mark.StitchAgainstMarkMm.Value!.Value - apart.Average());
                stitch.Add(miss);
                if (miss <= 2 * mark.StitchAgainstMarkMm.U) stitchIn++;
            }
            lines += truth.Lines.Count(l => !l.IsMissing);
            if (verbose) Console.WriteLine(FormattableString.Invariant($"# {s} marks on {report.Marks.Count} of {truth.Lines.Count(l => !l.IsMissing)} lines, width {scene.Marks!.WidthMm:0.00} seen {report.Marking?.MarkWidthMm:0.0}, error median {Q(own, 0.5)} p95 {Q(own, 0.95)}; {report.Marking?.PlainWords} [{truth.Description}; strength {scene.Marks.Strength:0.00}] {report.Outcome} {string.Join(",", report.Reasons.Select(r => r.Code))} {string.Join(' ', report.StageTimes.Select(t => FormattableString.Invariant($"{t.Stage}={t.Milliseconds:0}")))}"));
        }
        Console.WriteLine("| scenes with marks | shown on | marks traced | error of a mark's place median | p95 | covers 2u | line offset p95 | covers 2u | thread against mark p95 | covers 2u | scenes without marks | marks claimed on |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        Console.WriteLine(FormattableString.Invariant($"| {done} | {shown} | {traced} of {lines} | {Q(samples, 0.5)} | {Q(samples, 0.95)} | {Share(sampleIn, samples.Count)} | {Q(offsets, 0.95)} | {Share(offsetIn, offsets.Count)} | {Q(stitch, 0.95)} | {Share(stitchIn, stitch.Count)} | {plainDone} | {claimed} |"));
        ends.Print();
        Console.WriteLine(FormattableString.Invariant($"Refused in all: {refused}."));
        return 0;
    }

    private static string Share(int part, int of) => of == 0 ? "-" : (100.0 * part / of).ToString("0.0", CultureInfo.InvariantCulture) + " %";

    private static string Q(List<double> values, double q) => values.Count == 0 ? "-" : values.Order().ElementAt(Math.Min(values.Count - 1, (int)(q * values.Count))).ToString("0.000", CultureInfo.InvariantCulture);
}
