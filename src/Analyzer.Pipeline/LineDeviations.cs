using Analyzer.Core.Causes;
using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Ends;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>From traces to the report's lines and intersections: reference lines, straightness, crossings, each with u.</summary>
internal static class LineDeviations
{
    /// <summary>Share of a line's length that must be seen for "measured", and for any number at all.</summary>
    public const double WholeCoverage = 0.85, LeastCoverage = 0.2;

    /// <summary>
    /// What draws a whole line aside (side light, a mark beside it) does not draw all of it alike: so much of its uncertainty comes and goes once along the line.
    /// Size from comparison with known truth over photos of five makers.
    /// </summary>
    private const double PullVaries = 0.2;

    /// <summary>Peak to valley over root mean square of what comes and goes along a line.</summary>
    internal const double PeakFactor = 4.5;

    /// <summary>Four places at least; of a corner line of a few millimetres three, if it was seen as good as whole.</summary>
    public static bool IsUsable(TracedLine? traced) =>
        traced is not null && traced.Coverage >= LeastCoverage && traced.AlongMm.Length >= (traced.Coverage >= WholeCoverage ? 3 : 4);

    public static TraceProfile Profile(TracedLine traced, IntendedGrid grid) =>
        new(traced.Line, grid.Families[traced.Line.Family], traced.FineAlongMm, traced.FineDeviationMm, traced.FineSigmaMm, traced.Noise);

    /// <summary>The same at whole millimetres, for the causes.</summary>
    public static TraceProfile SampleProfile(TracedLine traced, IntendedGrid grid) =>
        new(traced.Line, grid.Families[traced.Line.Family], traced.AlongMm, traced.DeviationMm, traced.SigmaMm, traced.Noise);

    /// <param name="details">Where the thread ends, as far as it was read.</param>
    public static LineReport Of(GridLine line, TracedLine? traced, IntendedGrid grid, CornerUncertainty corners, LineDetails? details = null)
    {
        var empty = new LineReport
        {
            Id = line.Id,
            Family = line.Family,
            Index = line.Index,
            FromMm = Round(line.From),
            ToMm = Round(line.To),
            Status = traced is { ClippedShare: > 0.5 } ? "unreadable" : "not-found",
        };
        if (!IsUsable(traced) || traced is null) return empty with { Coverage = traced is null ? 0 : Round(traced.Coverage, 3) };
        WholeThread thread = WholeThread.Of(traced, details);
        TracedLine whole = thread.Line;
        ReferenceLineFit fit = ReferenceLineFit.Fit(whole.AlongMm, whole.DeviationMm, whole.SigmaMm, whole.Noise, line.LengthMm / 2, thread.Chance);
        NoiseFreeStraightness straight = NoiseFreeStraightness.Of(whole.AlongMm, whole.DeviationMm, whole.SigmaMm, whole.Noise, fit, whole.ScatterMm, thread.Chance);
        (double offsetCorner, double angleCorner) = corners.OfLine(line, grid.Families[line.Family]);
        UnseenPart unseen = UnseenPart.Of(thread, Hypot(straight.RmsMm, straight.RmsUMm), straight.TotalMm);
        double offsetShape = Math.Sqrt(fit.OffsetUMm * fit.OffsetUMm + traced.CommonUMm * traced.CommonUMm + unseen.OffsetUMm * unseen.OffsetUMm);
        // E6 for a single swing: the slope of a line that is off by so much at its ends.
        double varies = PullVaries * traced.CommonUMm, turn = varies * Math.Sqrt(12) / line.LengthMm;
        double angleShape = Hypot(fit.AngleUDeg, Hypot(unseen.SlopeU, turn) * 180 / Math.PI);
        return empty with
        {
            Status = traced.Coverage >= WholeCoverage ? "measured" : "partial",
            Coverage = Round(traced.Coverage, 3),
            OffsetMm = new MeasuredValue(Round(fit.OffsetMm), Round(Hypot(offsetShape, offsetCorner))),
            AngleDeg = new MeasuredValue(Round(fit.AngleDeg, 5), Round(Hypot(angleShape, angleCorner), 5)),
            OffsetShapeUMm = Round(offsetShape),
            AngleShapeUDeg = Round(angleShape, 5),
            StraightnessTotalMm = new MeasuredValue(Round(straight.TotalMm), Round(Hypot(Hypot(straight.TotalUMm, unseen.TotalUMm), PeakFactor * varies))),
            StraightnessRmsMm = new MeasuredValue(Round(straight.RmsMm), Round(Hypot(Hypot(straight.RmsUMm, unseen.RmsUMm), Hypot(varies, traced.WobbleUMm)))),
            WobbleBandsMm = Bands(traced),
            Samples = Samples(traced, grid.Families[line.Family], corners, details),
        };
    }

    /// <summary>What the lines' places were told by, for whoever repeats the run.</summary>
    public static string PlacedBy(IReadOnlyList<TracedLine?> lines)
    {
        double[] shares = [.. lines.Where(IsUsable).Select(l => l!.NetShare ?? 0)];
        if (shares.All(s => s == 0)) return "fit of the thread's profile";
        int alone = shares.Count(s => s == 1);
        return FormattableString.Invariant($"fit of the thread's profile and the taught net, each weighed by its uncertainty (the net's mean weight {shares.Average():0.00}{(alone == 0 ? "" : FormattableString.Invariant($", {alone} of {shares.Length} lines by the net alone"))})");
    }

    /// <summary>How far each family's lines were moved from what the light makes stand out onto their threads' middle, in words.</summary>
    public static string MovedOntoTheMiddle(IReadOnlyList<TracedLine?> lines) => string.Join(", ", lines.Where(IsUsable).GroupBy(l => l!.Line.Family).OrderBy(g => g.Key)
        .Select(g => FormattableString.Invariant($"{IntendedGrid.FamilyLetter(g.Key)} by {g.First()!.MiddleMovedMm:0.000} mm")));

    private static double[]? Bands(TracedLine traced)
    {
        if (traced.AlongMm.Length < 30) return null;
        double[] rms = WobbleBands.Of(traced.AlongMm, traced.DeviationMm, traced.ScatterMm, traced.Noise, traced.StitchLengthMm ?? 2.3).RmsMm();
        return [.. rms.Select(v => Round(v))];
    }

    /// <summary>Where the end that was read is farther in than a place by more than its uncertainty, nothing is said of that place.</summary>
    private const double LeastChance = 0.16;

    private static LineSample[] Samples(TracedLine traced, LineFamily family, CornerUncertainty corners, LineDetails? details)
    {
        var samples = new List<LineSample>(traced.AlongMm.Length);
        for (int i = 0; i < traced.AlongMm.Length; i++)
        {
            if (WholeThread.ChanceAt(traced.Line, traced.AlongMm[i], details) < LeastChance) continue;
            var place = new BlockPoint(traced.Line.From.Xmm + family.AlongX * traced.AlongMm[i], traced.Line.From.Ymm + family.AlongY * traced.AlongMm[i]);
            double u = Math.Sqrt(traced.SigmaMm[i] * traced.SigmaMm[i] + traced.CommonUMm * traced.CommonUMm + Math.Pow(corners.AcrossMm(family, place), 2));
            samples.Add(new LineSample(traced.AlongMm[i], Round(traced.DeviationMm[i]), Round(u)));
        }
        return [.. samples];
    }

    public static IntersectionReport Node(GridNode node, IReadOnlyDictionary<string, TraceProfile> profiles, CornerUncertainty corners)
    {
        TraceProfile[] own = [.. node.LineIds.Where(profiles.ContainsKey).Select(id => profiles[id])];
        var empty = new IntersectionReport
        {
            Id = node.Id,
            LineIds = node.LineIds,
            IntendedMm = Round(node.Position),
            MissTriangleMm = node.LineIds.Count >= 3 ? MeasuredValue.Unknown : null,
        };
        if (own.Length < 2) return empty;
        NodeDeviation deviation = NodeDeviation.Of(node.Position, own, corners.At(node.Position));
        if (deviation.Stitched is not { } stitched) return empty;
        return empty with
        {
            StitchedMm = Round(stitched),
            RadialMm = new MeasuredValue(Round(deviation.RadialMm!.Value), Round(deviation.RadialUMm!.Value)),
            Crossings = [.. deviation.Crossings.Select(c => new Crossing([c.A.Line.Id, c.B.Line.Id], Round(c.At)))],
            MissTriangleMm = node.LineIds.Count < 3 ? null
                : deviation.MissTriangleMm is { } miss ? new MeasuredValue(Round(miss), Round(deviation.MissTriangleUMm!.Value)) : MeasuredValue.Unknown,
        };
    }

    public static double Round(double value, int digits = 4) => double.IsFinite(value) ? Math.Round(value, digits) : 0;

    public static double[] Round(BlockPoint p) => [Math.Round(p.Xmm, 4), Math.Round(p.Ymm, 4)];

    private static double Hypot(double a, double b) => Math.Sqrt(a * a + b * b);
}
