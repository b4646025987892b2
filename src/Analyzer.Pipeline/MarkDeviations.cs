using System.Globalization;
using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Marks;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>From traced marks to the report: error of marking and error of stitching, apart.</summary>
internal static class MarkDeviations
{
    public static AccuracyReport AddTo(AccuracyReport report, BlockMarks marks, IReadOnlyList<TracedLine?> lines, IntendedGrid grid, CornerUncertainty corners)
    {
        Part[] parts = [.. marks.Marks.Select(m => Part.Of(m, lines.First(l => l?.Line.Id == m.LineId)!, grid, corners))];
        return parts.Length == 0 ? report : report with { Marks = [.. parts.Select(p => p.Report)], Marking = Split(parts, grid, marks.WidthMm) };
    }

    private static MarkingSplit Split(Part[] parts, IntendedGrid grid, double widthMm)
    {
        double samples = parts.Sum(p => p.Samples);
        double mark = Root(parts.Sum(p => p.Samples * p.MarkMs) / samples), stitch = Root(parts.Sum(p => p.Samples * p.StitchMs) / samples), thread = Root(parts.Sum(p => p.Samples * p.ThreadMs) / samples);
        // Lines err independently; the corners move all of them together.
        double markU = Math.Sqrt(parts.Sum(p => p.Samples * p.Samples * p.ShapeU * p.ShapeU) / (samples * samples) + Math.Pow(parts.Average(p => p.CornerU), 2));
        double stitchU = Math.Sqrt(parts.Sum(p => p.Samples * p.Samples * p.StitchU * p.StitchU)) / samples;
        return new MarkingSplit(parts.Length, Value(mark, markU), Value(stitch, stitchU), LineDeviations.Round(thread), Words(mark, stitch, parts, grid)) { MarkWidthMm = widthMm };
    }

    private static string Words(double mark, double stitch, Part[] parts, IntendedGrid grid)
    {
        string both = string.Create(CultureInfo.InvariantCulture, $"The marking itself was off by {mark:0.0} mm; your stitching followed the marks to {stitch:0.0} mm");
        if (mark <= stitch) return string.Create(CultureInfo.InvariantCulture, $"The marks lie within {mark:0.0} mm of the pattern; the thread keeps to the marks to {stitch:0.0} mm.");
        string slip = string.Join(" and ", parts.GroupBy(p => p.Family).Where(g => g.Count() >= 3).Select(g => (g.Key, Mean: g.Average(p => p.MarkOffset), Rms: Root(g.Average(p => p.MarkMs))))
            .Where(f => Math.Abs(f.Mean) > 0.25 && Math.Abs(f.Mean) > 0.7 * f.Rms)
            .Select(f => string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(f.Mean):0.0} mm {Core.Causes.LineWords.Side(grid.Families[f.Key], f.Mean)} for {Core.Causes.LineWords.FamilyName(grid, f.Key)}")));
        return slip.Length == 0 ? both + "." : $"{both}. As a whole the marks lie {slip}: a stencil or ruler that slipped while marking.";
    }

    private static MeasuredValue Value(double value, double u) => new(LineDeviations.Round(value), LineDeviations.Round(u));

    private static double Root(double meanSquare) => Math.Sqrt(Math.Max(0, meanSquare));

    /// <summary>One line's mark and thread, on the places where both were seen.</summary>
    private sealed record Part(MarkReport Report, int Family, int Samples, double MarkOffset, double MarkMs, double StitchMs, double ThreadMs, double ShapeU, double CornerU, double StitchU)
    {
        public static Part Of(TracedMark mark, TracedLine traced, IntendedGrid grid, CornerUncertainty corners)
        {
            LineFamily family = grid.Families[traced.Line.Family];
            var noise = new NoiseCorrelation(mark.CorrelationMm);
            ReferenceLineFit fit = ReferenceLineFit.Fit(mark.AlongMm, mark.DeviationMm, mark.SigmaMm, noise, traced.Line.LengthMm / 2);
            (double offsetCorner, double angleCorner) = corners.OfLine(traced.Line, family);
            double shape = Math.Sqrt(fit.OffsetUMm * fit.OffsetUMm + mark.CommonUMm * mark.CommonUMm);
            int n = mark.AlongMm.Length;
            double markMs = 0, stitchMs = 0, threadMs = 0, stitchMean = 0;
            var samples = new LineSample[n];
            for (int i = 0; i < n; i++)
            {
                double s = mark.AlongMm[i], m = mark.DeviationMm[i], t = ThreadAt(traced, s), u2 = mark.SigmaMm[i] * mark.SigmaMm[i];
                markMs += LessNoise(m * m, u2) / n;
                stitchMs += LessNoise((t - m) * (t - m), u2) / n;
                threadMs += t * t / n;
                stitchMean += (t - m) / n;
                var place = new BlockPoint(traced.Line.From.Xmm + family.AlongX * s, traced.Line.From.Ymm + family.AlongY * s);
                double u = Math.Sqrt(u2 + mark.CommonUMm * mark.CommonUMm + Math.Pow(corners.AcrossMm(family, place), 2));
                samples[i] = new LineSample(s, LineDeviations.Round(m), LineDeviations.Round(u));
            }
            double[] even = [.. Enumerable.Repeat(1.0 / n, n)];
            double meanU = Math.Sqrt(noise.Covariance(mark.AlongMm, mark.SigmaMm, even, even) + mark.CommonUMm * mark.CommonUMm + traced.CommonUMm * traced.CommonUMm);
            var report = new MarkReport(mark.LineId, samples, Value(fit.OffsetMm, Math.Sqrt(shape * shape + offsetCorner * offsetCorner)),
                new MeasuredValue(LineDeviations.Round(fit.AngleDeg, 5), LineDeviations.Round(Math.Sqrt(fit.AngleUDeg * fit.AngleUDeg + angleCorner * angleCorner), 5)), Value(stitchMean, meanU))
            {
                MarkRmsMm = LineDeviations.Round(Root(markMs)),
                StitchAgainstMarkRmsMm = LineDeviations.Round(Root(stitchMs)),
            };
            return new Part(report, traced.Line.Family, n, fit.OffsetMm, markMs, stitchMs, threadMs, shape, offsetCorner, meanU);
        }

        /// <summary>Noise is taken out, but never more than a quarter: u of a faint mark is stated with care, and must not make a mark look true.</summary>
        private static double LessNoise(double square, double noise) => square - Math.Min(noise, square / 4);

        private static double ThreadAt(TracedLine line, double alongMm)
        {
            int i = Array.BinarySearch(line.AlongMm, alongMm);
            if (i >= 0) return line.DeviationMm[i];
            i = Math.Clamp(~i - 1, 0, line.AlongMm.Length - 2);
            return line.DeviationMm[i] + (alongMm - line.AlongMm[i]) / (line.AlongMm[i + 1] - line.AlongMm[i]) * (line.DeviationMm[i + 1] - line.DeviationMm[i]);
        }
    }
}
