using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.Testing;

namespace Analyzer.Bench;

/// <summary>Ends at the ditch and stitch lengths against rendered truth.</summary>
internal sealed class EndsTally
{
    private readonly List<double> _end = [], _endZ = [], _endSigned = [], _mean = [], _meanZ = [], _spread = [], _spreadZ = [];
    private int _extraTrue, _extraTold, _extraFound, _extraFalse, _photos;

    private int _ends, _endsSeen, _lines, _read, _spreads;

    public void Add(AccuracyReport report, SceneTruth truth)
    {
        if (report.Outcome == "not-measurable") return;
        _extraTrue += truth.ExtraLines.Count;
        _extraTold += report.ExtraLines.Count;
        _photos++;
        foreach (var run in truth.ExtraLines)
            if (report.ExtraLines.Any(e => Distance(e, run[run.Count / 2]) < 3)) _extraFound++;
        _extraFalse += report.ExtraLines.Count(e => truth.ExtraLines.All(run => run.Min(p => Distance(e, p)) > 3));
        for (int i = 0; i < truth.Lines.Count; i++)
        {
            LineTruth real = truth.Lines[i];
            LineReport line = report.Lines[i];
            if (real.IsMissing || line.OffsetMm.Value is null) continue;
            _lines++;
            foreach ((MeasuredValue? seen, double at) in new[] { (line.StartOvershootMm, real.OvershootStartMm), (line.EndOvershootMm, real.OvershootEndMm) })
            {
                _ends++;
                if (seen?.Value is not { } value) continue;
                _endsSeen++;
                _end.Add(Math.Abs(value - at));
                _endSigned.Add(value - at);
                _endZ.Add(Math.Abs(value - at) / seen.U!.Value);
            }
            if (line.StitchLengthMm?.Value is not { } pitch) continue;
            _read++;
            _mean.Add(Math.Abs(pitch - real.StitchLengthMm));
            _meanZ.Add(Math.Abs(pitch - real.StitchLengthMm) / line.StitchLengthMm.U!.Value);
            if (line.StitchLengthSpreadMm is not { } spread) continue;
            double[] own = [.. Enumerable.Range(1, Math.Max(0, real.Holes.Count - 3)).Select(k => real.Holes[k].DistanceTo(real.Holes[k + 1]))];
            if (own.Length < 5) continue;
            _spreads++;
            double sd = Math.Sqrt(own.Sum(v => Math.Pow(v - own.Average(), 2)) / (own.Length - 1));
            _spread.Add(Math.Abs(spread - sd));
            _spreadZ.Add(Math.Abs(spread - sd) / line.StitchLengthSpreadUMm!.Value);
        }
    }

    public void Print()
    {
        Console.WriteLine();
        Console.WriteLine($"Free lines: {_extraFound} of {_extraTrue} found, {_extraFalse} false among {_extraTold} told, on {_photos} photos.");
        Console.WriteLine("| what | told | error median mm | p95 | covers 2u |");
        Console.WriteLine("| --- | --- | --- | --- | --- |");
        Console.WriteLine(FormattableString.Invariant($"| end at the ditch | {_endsSeen} of {_ends} | {Q(_end, 0.5)} | {Q(_end, 0.95)} | {In(_endZ)} | mean {(_endSigned.Count == 0 ? 0 : _endSigned.Average()):0.000}"));
        Console.WriteLine(FormattableString.Invariant($"| mean stitch length | {_read} of {_lines} | {Q(_mean, 0.5)} | {Q(_mean, 0.95)} | {In(_meanZ)} |"));
        Console.WriteLine(FormattableString.Invariant($"| spread of stitch lengths | {_spreads} of {_lines} | {Q(_spread, 0.5)} | {Q(_spread, 0.95)} | {In(_spreadZ)} |"));
    }

    private static double Distance(ExtraLine e, Core.Geometry.BlockPoint p)
    {
        double dx = e.ToMm[0] - e.FromMm[0], dy = e.ToMm[1] - e.FromMm[1];
        return Math.Abs((p.Xmm - e.FromMm[0]) * dy - (p.Ymm - e.FromMm[1]) * dx) / Math.Sqrt(dx * dx + dy * dy);
    }

    private static string In(List<double> z) => z.Count == 0 ? "-" : (100.0 * z.Count(v => v <= 2) / z.Count).ToString("0.0", CultureInfo.InvariantCulture) + " %";

    private static string Q(List<double> values, double q) => values.Count == 0 ? "-" : values.Order().ElementAt(Math.Min(values.Count - 1, (int)(q * values.Count))).ToString("0.000", CultureInfo.InvariantCulture);
}
