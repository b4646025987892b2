using System.Diagnostics;
using System.Globalization;
using System.Text;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Testing;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Tracing;
using StitchSettings = Analyzer.Vision.Tracing.StitchSettings;

namespace Analyzer.Bench;

/// <summary>Accuracy against rendered truth: per tier lines found, false lines, errors, and how often truth lies within 2u.</summary>
/// <remarks>accuracy ablation [photos per tier] [first seed] [side]: what each step buys. accuracy images [folder] measures the sample photos, with their true corners and with the corners found. accuracy [photos per tier] [first seed] [side of the block in mm, 0 = the scene's own] [easy,ordinary,hard] [verbose]</remarks>
internal static class AccuracyBench
{
    public static int Run(string[] args)
    {
        if (args is ["images", ..]) return Images(args.Length > 1 ? args[1] : "testimages");
        if (args is ["ablation", ..]) return Ablation([.. args.Skip(1)]);
        int count = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 10;
        int seed = args.Length > 1 ? int.Parse(args[1], CultureInfo.InvariantCulture) : 1000;
        double side = args.Length > 2 ? double.Parse(args[2], CultureInfo.InvariantCulture) : 0;
        string tiers = args.Length > 3 ? args[3] : "easy,ordinary,hard";
        bool verbose = args.Contains("verbose");
        List<string> bounds = [], angles = [], coverage = [];
        WriteErrors([]);
        foreach (Tier tier in Enum.GetValues<Tier>())
        {
            if (!tiers.Contains(tier.ToString(), StringComparison.OrdinalIgnoreCase)) continue;
            var sum = new Tally();
            List<NoiseBound> nearness = [], uncompressed = [];
            for (int i = 0; i < count; i++)
            {
                SceneSettings scene = side > 0 ? SceneSettings.Random(seed + i, tier, sideMm: side) : SceneSettings.Random(seed + i, tier);
                (SyntheticPhoto photo, SyntheticPhoto again) = SceneRenderer.RenderTwice(scene);
                Tally one = Measure(photo, $"{tier}-{seed + i}");
                if (verbose) Console.WriteLine($"# {tier} {seed + i}: {one.Verbose()}  [{photo.Truth.Description}]");
                if (verbose)
                    foreach (string detail in one.Details) Console.WriteLine("#    " + detail);
                sum.Add(one);
                foreach (bool png in new[] { false, true })
                {
                    // The bound and the error are both of the pixels that were handed over.
                    (SyntheticPhoto first, SyntheticPhoto second) = png ? (photo, again) : (photo.OfFile(photo.ToJpeg(90)), again.OfFile(again.ToJpeg(90)));
                    AccuracyReport report = png ? Measure(photo, $"{tier}-{seed + i}", asPng: true).Report! : one.Report!;
                    if (NoiseBound.Of(first, second, report, Measure(again, $"{tier}-{seed + i}", asPng: png).Report!) is not { } bound) continue;
                    (png ? uncompressed : nearness).Add(bound);
                    if (verbose) Console.WriteLine(FormattableString.Invariant($"#    {(png ? "uncompressed" : "JPEG")}: bound {bound.BoundMm:0.00000} (white {bound.WhiteBoundMm:0.00000}) random error {bound.RandomMm:0.00000} ratio {bound.Ratio:0.00}; against truth {bound.ErrorMm:0.0000}"));
                }
            }
            Console.WriteLine(sum.Row(tier.ToString().ToLowerInvariant()));
            bounds.Add(BoundRow(tier, "uncompressed", uncompressed));
            bounds.Add(BoundRow(tier, "JPEG", nearness));
            angles.Add(sum.AngleRow(tier.ToString().ToLowerInvariant()));
            coverage.Add(sum.CoverageRow(tier.ToString().ToLowerInvariant()));
        }
        Console.WriteLine();
        Console.WriteLine("Random error of a sample (the scene taken twice, other sensor noise) against the Cramér-Rao bound of the photo's own contrast, noise and blur (E4), both of the pixels that were handed over; medians over the photos, mm.");
        Console.WriteLine();
        Console.WriteLine("| tier | file | photos | bound | if the noise were white | random error | ratio | 90 % of photos | error against truth |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        foreach (string row in bounds) Console.WriteLine(row);
        Console.WriteLine();
        WriteAngles(angles);
        Console.WriteLine();
        CoverageBench.Write(coverage);
        return 0;
    }

    /// <summary>The errors' table: its head, and the rows there are.</summary>
    internal static void WriteErrors(List<string> rows)
    {
        Console.WriteLine("| tier | photos | refused | lines | false | sample median | p95 | offset p95 | angle p95 deg | STRq p95 | crossing p95 | covers 2u: sample | offset | angle | STRq | STRt | crossing |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        foreach (string row in rows) Console.WriteLine(row);
    }

    internal static void WriteAngles(List<string> rows)
    {
        Console.WriteLine(FormattableString.Invariant($"Error of the angle, degrees: lines of at least {Tally.LongLineMm:0} mm, and shorter ones."));
        Console.WriteLine();
        Console.WriteLine("| tier | long lines | 95 % | short lines | 95 % |");
        Console.WriteLine("| --- | --- | --- | --- | --- |");
        foreach (string row in rows) Console.WriteLine(row);
    }

    private static string BoundRow(Tier tier, string file, List<NoiseBound> all)
    {
        string Q(Func<NoiseBound, double> of, double q, string form) => all.Count == 0 ? "-" : all.Select(of).Order().ElementAt((int)(q * (all.Count - 1) + 0.5)).ToString(form, CultureInfo.InvariantCulture);
        return $"| {tier.ToString().ToLowerInvariant()} | {file} | {all.Count} | {Q(b => b.BoundMm, 0.5, "0.00000")} | {Q(b => b.WhiteBoundMm, 0.5, "0.00000")} | {Q(b => b.RandomMm, 0.5, "0.00000")} | {Q(b => b.Ratio, 0.5, "0.0")} | {Q(b => b.Ratio, 0.9, "0.0")} | {Q(b => b.ErrorMm, 0.5, "0.000")} |";
    }

    /// <summary>The same photos measured as always and with one step left out at a time.</summary>
    private static int Ablation(string[] args)
    {
        int count = Probe.Number(args, 0, 10), seed = Probe.Number(args, 1, 1000), side = Probe.Number(args, 2, 110);
        (string Name, StitchSettings Settings)[] forms =
        [
            ("as it is", new StitchSettings()),
            ("without dash score", new StitchSettings { DashScore = false }),
            ("without the odd column", new StitchSettings { Tracing = new TracingSettings { OneSidedStep = false } }),
            ("without grid prior", new StitchSettings { GridPrior = false }),
            ("without the taught net", new StitchSettings { LearntSight = false }),
            ("without the thread's middle", new StitchSettings { ThreadMiddle = false }),
        ];
        Console.WriteLine("| tier | measured | refused | lines found | false | sample median | p95 | STRq p95 | covers 2u: sample |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        foreach (Tier tier in Enum.GetValues<Tier>())
        {
            Tally[] sums = [.. forms.Select(_ => new Tally())];
            for (int i = 0; i < count; i++)
            {
                SyntheticPhoto photo = SceneRenderer.Render(SceneSettings.Random(seed + i, tier, sideMm: side));
                for (int k = 0; k < forms.Length; k++) sums[k].Add(Measure(photo, $"{tier}-{seed + i}", forms[k].Settings));
            }
            for (int k = 0; k < forms.Length; k++) Console.WriteLine(sums[k].AblationRow(tier.ToString().ToLowerInvariant(), forms[k].Name));
        }
        return 0;
    }

    private static int Images(string folder)
    {
        Console.WriteLine("| photo | corners | outcome | lines | false | sample median/p95 | offset p95 | angle p95 deg | STRq p95 | crossing p95 |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        foreach (string path in Directory.GetFiles(folder, "*.truth.json").Order(StringComparer.Ordinal))
        {
            SceneTruth truth = TruthJson.Load(path);
            string name = Path.GetFileName(path)[..^".truth.json".Length];
            using Photo photo = PhotoReader.Read(Path.Combine(folder, name + ".jpg"));
            foreach (bool given in new[] { true, false })
            {
                var settings = new AnalysisSettings { GivenCorners = given ? truth.Corners with { UncertaintyPx = 1e-3 } : null, CornersExact = given, WithPicture = false };
                AccuracyReport report = new BlockAnalyzer().Analyze(photo, truth.Grid, settings).Report;
                Tally tally = Tally.Of(report, truth);
                Console.WriteLine($"| {name} | {(given ? "true" : Off(report, truth))} | {report.Outcome} | {tally.ImageRow()}");
            }
        }
        return 0;
    }

    private static string Off(AccuracyReport report, SceneTruth truth)
    {
        if (report.Block is not { } block) return "none found";
        double worst = block.CornersPx.Zip(truth.Corners.ToArray(), (a, b) => Math.Sqrt(Math.Pow(a[0] - b.X, 2) + Math.Pow(a[1] - b.Y, 2))).Max() / block.PixelsPerMm;
        return FormattableString.Invariant($"found, {worst:0.00} mm off at worst, {block.CornerConfidence}");
    }

    public static Tally Measure(SyntheticPhoto rendered, string name, StitchSettings? stitches = null, bool asPng = false, bool findCorners = false)
    {
        using Photo photo = asPng ? PhotoReader.Read(rendered.ToPng(), name + ".png") : PhotoReader.Read(rendered.ToJpeg(90), name + ".jpg");
        var settings = new AnalysisSettings { GivenCorners = findCorners ? null : rendered.Truth.Corners with { UncertaintyPx = 1e-3 }, CornersExact = !findCorners, WithPicture = false };
        var watch = Stopwatch.StartNew();
        AccuracyReport report = new BlockAnalyzer(stitches).Analyze(photo, rendered.Truth.Grid, settings).Report;
        Tally tally = Tally.Of(report, rendered.Truth);
        tally.Report = report;
        tally.Ms = watch.Elapsed.TotalMilliseconds;
        tally.Stages = string.Join(' ', report.StageTimes.Select(s => FormattableString.Invariant($"{s.Stage}={s.Milliseconds:0}")));
        return tally;
    }
}

internal static class LineReportExtensions
{
    public static double LengthMm(this LineReport line) => Math.Sqrt(Math.Pow(line.ToMm[0] - line.FromMm[0], 2) + Math.Pow(line.ToMm[1] - line.FromMm[1], 2));
}

/// <summary>Errors and coverage of one or many photos.</summary>
internal sealed class Tally
{
    /// <summary>A line of at least so much is a long one: shorter ones run across a corner, and their angle is less well known (E6), mm.</summary>
    public const double LongLineMm = 50;

    /// <summary>What has an uncertainty of its own, in the order of the columns.</summary>
    public static readonly string[] Quantities = ["sample", "offset", "angle", "STRq", "STRt", "crossing", "offset without lens", "crossing without lens"];

    private readonly List<double> _sample = [], _offset = [], _angle = [], _longAngle = [], _shortAngle = [], _strq = [], _crossing = [];
    private readonly int[] _in = new int[8], _of = new int[8];

    /// <summary>Sum of (error/u)² of each quantity.</summary>
    private readonly double[] _inU2 = new double[8];

    public int Photos { get; private set; }

    public int Refused { get; private set; }

    public int Found { get; private set; }

    public int Lines { get; private set; }

    public int FalseLines { get; private set; }

    public double Ms { get; set; }

    /// <summary>The largest error of a single photo in units of its u, and of what it is.</summary>
    public double FarthestOverU { get; private set; }

    public string FarthestWhat { get; private set; } = "";

    /// <summary>Of a single photo.</summary>
    public AccuracyReport? Report { get; set; }

    public string Stages { get; set; } = "";

    /// <summary>What is worth a look, line by line.</summary>
    public List<string> Details { get; } = [];

    public string Outcome { get; private set; } = "";

    public static Tally Of(AccuracyReport report, SceneTruth truth)
    {
        var t = new Tally { Photos = 1, Outcome = report.Outcome + " " + string.Join(",", report.Reasons.Select(r => r.Code)) };
        bool refused = report.Outcome == "not-measurable";
        if (refused) t.Refused = 1;
        t.Lines = truth.Lines.Count(l => !l.IsMissing);
        if (refused) return t;
        double lensUMm = report.Block?.Lens?.PlaceUMm ?? 0;
        for (int i = 0; i < truth.Lines.Count; i++)
        {
            LineReport line = report.Lines[i];
            LineTruth real = truth.Lines[i];
            if (line.Samples.Count == 0)
            {
                if (!real.IsMissing) t.Details.Add(FormattableString.Invariant($"{line.Id} not found (cov {line.Coverage}) length {report.Lines[i].LengthMm():0.0} true offset {real.Summary.OffsetMm:0.00}"));
                continue;
            }
            double[] errors = Errors(line, real, t);
            // A false line: nothing was stitched there, or what was followed is not the thread.
            if (real.IsMissing || errors.Length == 0 || Quantile([.. errors.Select(Math.Abs)], 0.5) > 0.5)
            {
                t.FalseLines++;
                t.Details.Add(FormattableString.Invariant($"{line.Id} FALSE length {report.Lines[i].LengthMm():0.0} offset {line.OffsetMm.Value:0.00} true {real.Summary.OffsetMm:0.00} cov {line.Coverage}"));
                continue;
            }
            t.Found++;
            t._offset.Add(Math.Abs(line.OffsetMm.Value!.Value - real.Summary.OffsetMm));
            // The lens's part of u is about the block itself; without it a place is told in the plane that the corners span in the photo, where the truth of all errors is.
            t.Cover(1, line.OffsetMm, Ideal(real) ? real.IdealSummary.OffsetMm : real.Summary.OffsetMm);
            t.Cover(6, Without(line.OffsetMm, lensUMm), real.Summary.OffsetMm);
            double angleError = Math.Abs(line.AngleDeg.Value!.Value - real.Summary.AngleDeg);
            t._angle.Add(angleError);
            (line.LengthMm() >= LongLineMm ? t._longAngle : t._shortAngle).Add(angleError);
            if (angleError > 0.1) t.Details.Add(FormattableString.Invariant($"{line.Id} angle error {angleError:0.000} u {line.AngleDeg.U:0.000} length {report.Lines[i].LengthMm():0.0} first {errors[0]:0.000} last {errors[^1]:0.000} worst {errors.Max(Math.Abs):0.000} n {errors.Length}"));
            t.Cover(2, line.AngleDeg, real.Summary.AngleDeg);
            t._strq.Add(Math.Abs(line.StraightnessRmsMm.Value!.Value - real.Summary.StraightnessRmsMm));
            t.Cover(3, line.StraightnessRmsMm, real.Summary.StraightnessRmsMm);
            t.Cover(4, line.StraightnessTotalMm, real.Summary.StraightnessTotalMm);
        }
        foreach (IntersectionReport node in report.Intersections)
            foreach (Crossing c in node.Crossings)
                if (truth.Crossings.FirstOrDefault(x => x.NodeId == node.Id && c.LineIds.Contains(x.LineA) && c.LineIds.Contains(x.LineB)) is { } real)
                    t._crossing.Add(Math.Sqrt(Math.Pow(c.AtMm[0] - real.AtMm.Xmm, 2) + Math.Pow(c.AtMm[1] - real.AtMm.Ymm, 2)));
        foreach (IntersectionReport node in report.Intersections)
        {
            CrossingTruth[] real = [.. truth.Crossings.Where(x => x.NodeId == node.Id)];
            if (real.Length == 0 || node.Crossings.Count != real.Length) continue;
            double Off(Func<CrossingTruth, BlockPoint> place)
            {
                double x = real.Average(r => place(r).Xmm) - real[0].IntendedMm.Xmm, y = real.Average(r => place(r).Ymm) - real[0].IntendedMm.Ymm;
                return Math.Sqrt(x * x + y * y);
            }
            t.Cover(5, node.RadialMm, Off(c => WithoutLens(c, truth)));
            t.Cover(7, Without(node.RadialMm, lensUMm), Off(c => c.AtMm));
        }
        return t;
    }

    /// <summary>Whether the truth tells the block itself too, without the lens.</summary>
    private static bool Ideal(LineTruth line) => line.IdealSamples.Count > 0;

    private static MeasuredValue Without(MeasuredValue value, double lensUMm) => value with { U = Math.Sqrt(Math.Max(0, value.U!.Value * value.U.Value - lensUMm * lensUMm)) };

    /// <summary>Where two threads cross in the block itself: what the lens moves each of them across itself there is taken off.</summary>
    private static BlockPoint WithoutLens(CrossingTruth c, SceneTruth truth)
    {
        LineTruth[] lines = [truth.Line(c.LineA), truth.Line(c.LineB)];
        if (!lines.All(Ideal)) return c.AtMm;
        LineFamily a = truth.Grid.Families[lines[0].Family], b = truth.Grid.Families[lines[1].Family];
        double p = Moved(lines[0], a), q = Moved(lines[1], b), det = a.AcrossX * b.AcrossY - a.AcrossY * b.AcrossX;
        return new BlockPoint(c.AtMm.Xmm + (p * b.AcrossY - q * a.AcrossY) / det, c.AtMm.Ymm + (q * a.AcrossX - p * b.AcrossX) / det);

        double Moved(LineTruth line, LineFamily family)
        {
            double along = family.Along(c.AtMm) - family.Along(truth.Grid.Line(line.Id).From);
            return At(line.IdealSamples, along) - At(line.Samples, along);
        }

        static double At(IReadOnlyList<DeviationSample> samples, double along) => samples.MinBy(s => Math.Abs(s.AlongMm - along)).DeviationMm;
    }

    private static double[] Errors(LineReport line, LineTruth real, Tally t)
    {
        Dictionary<int, double> at = real.Samples.ToDictionary(s => (int)Math.Round(s.AlongMm), s => s.DeviationMm);
        var errors = new List<double>();
        foreach (LineSample s in line.Samples)
        {
            if (!at.TryGetValue((int)Math.Round(s.AlongMm), out double truth)) continue;
            errors.Add(s.DeviationMm - truth);
            t._sample.Add(Math.Abs(s.DeviationMm - truth));
            t.Cover(0, new MeasuredValue(s.DeviationMm, s.U), truth);
        }
        return [.. errors];
    }

    private void Cover(int which, MeasuredValue value, double truth)
    {
        _of[which]++;
        double error = Math.Abs(value.Value!.Value - truth), u = value.U!.Value;
        if (error <= 2 * u) _in[which]++;
        if (u > 0) _inU2[which] += error * error / (u * u);
        if (u > 0 && Math.Abs(error) / u > FarthestOverU) (FarthestOverU, FarthestWhat) = (Math.Abs(error) / u, Quantities[which]);
    }

    public void Add(Tally o)
    {
        Photos += o.Photos;
        Refused += o.Refused;
        Found += o.Found;
        Lines += o.Lines;
        FalseLines += o.FalseLines;
        _sample.AddRange(o._sample);
        _offset.AddRange(o._offset);
        _angle.AddRange(o._angle);
        _longAngle.AddRange(o._longAngle);
        _shortAngle.AddRange(o._shortAngle);
        _strq.AddRange(o._strq);
        _crossing.AddRange(o._crossing);
        for (int i = 0; i < _in.Length; i++)
        {
            _in[i] += o._in[i];
            _of[i] += o._of[i];
            _inU2[i] += o._inU2[i];
        }
    }

    public string Row(string tier)
    {
        var s = new StringBuilder();
        s.Append(CultureInfo.InvariantCulture, $"| {tier} | {Photos} | {Refused} | {Found}/{Lines} | {FalseLines} | {Q(_sample, 0.5)} | {Q(_sample, 0.95)} | {Q(_offset, 0.95)} | {Q(_angle, 0.95)} | {Q(_strq, 0.95)} | {Q(_crossing, 0.95)} |");
        for (int i = 0; i < 6; i++) s.Append(' ').Append(Covered(i)).Append(" |");
        return s.ToString();
    }

    /// <summary>Per quantity how often the truth lies within 2u, and the root mean square of error over u, which is 1 where u is true.</summary>
    public string CoverageRow(string tier) =>
        $"| {tier} | {Photos} | {Refused} | {string.Join(" | ", Enumerable.Range(0, _in.Length).Select(i => $"{Covered(i)} ({ErrorOverU(i)})"))} |";

    /// <summary>95 % of the angles' errors, lines of at least <see cref="LongLineMm"/> apart from shorter ones.</summary>
    public string AngleRow(string tier) => $"| {tier} | {_longAngle.Count} | {Q(_longAngle, 0.95)} | {_shortAngle.Count} | {Q(_shortAngle, 0.95)} |";

    public string AblationRow(string tier, string form) =>
        $"| {tier} | {form} | {Refused} of {Photos} | {Found}/{Lines} | {FalseLines} | {Q(_sample, 0.5)} | {Q(_sample, 0.95)} | {Q(_strq, 0.95)} | {Covered(0)} |";

    public string ImageRow() =>
        FormattableString.Invariant($"{Found}/{Lines} | {FalseLines} | {Q(_sample, 0.5)}/{Q(_sample, 0.95)} | {Q(_offset, 0.95)} | {Q(_angle, 0.95)} | {Q(_strq, 0.95)} | {Q(_crossing, 0.95)} |");

    public string Verbose() =>
        FormattableString.Invariant($"{Outcome} lines {Found}/{Lines} false {FalseLines} sample {Q(_sample, 0.5)}/{Q(_sample, 0.95)} offset {Q(_offset, 0.95)} angle {Q(_angle, 0.95)} strq {Q(_strq, 0.95)} cross {Q(_crossing, 0.95)} cover {string.Join(' ', Enumerable.Range(0, 6).Select(Covered))} {Ms:0} ms ({Stages})");

    private string Covered(int i) => _of[i] == 0 ? "-" : (100.0 * _in[i] / _of[i]).ToString("0.0", CultureInfo.InvariantCulture);

    private string ErrorOverU(int i) => _of[i] == 0 ? "-" : Math.Sqrt(_inU2[i] / _of[i]).ToString("0.00", CultureInfo.InvariantCulture);

    private static string Q(List<double> values, double q) => values.Count == 0 ? "-" : Quantile(values, q).ToString("0.000", CultureInfo.InvariantCulture);

    private static double Quantile(IReadOnlyList<double> values, double q)
    {
        double[] sorted = [.. values.Order()];
        return sorted[Math.Min(sorted.Length - 1, (int)(q * sorted.Length))];
    }
}
