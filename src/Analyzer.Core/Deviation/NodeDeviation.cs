using Analyzer.Core.Geometry;

namespace Analyzer.Core.Deviation;

/// <summary>One intended intersection against where its threads really cross, mm.</summary>
/// <remarks>
/// The radial error is the plain distance of the mean crossing from the intended point: never negative, so noise makes small values larger
/// (Rice distribution). Its u is √(σr² + 2 b²): σr along the error's direction, b = r - √(max(0, r² - σx² - σy²)) the lift by noise.
/// With that, r ± 2u holds the true value about 94 % of the time even where the true error is 0. <see cref="RadialNoiseFreeMm"/> has the lift removed.
/// ISO 1101 position: true position diameter = 2 × radial.
/// </remarks>
public sealed record NodeDeviation
{
    public required BlockPoint Intended { get; init; }

    /// <summary>The pairwise crossings that could be measured.</summary>
    public required IReadOnlyList<TraceCrossing> Crossings { get; init; }

    /// <summary>Mean of the pairwise crossings, null when none was measured.</summary>
    public BlockPoint? Stitched { get; init; }

    /// <summary>Covariance of <see cref="Stitched"/>, samples and place together, mm².</summary>
    public Covariance2 Covariance { get; init; }

    public double? RadialMm { get; init; }

    public double? RadialUMm { get; init; }

    public double? RadialNoiseFreeMm { get; init; }

    /// <summary>Three families: largest distance between two of the pairwise crossings.</summary>
    public double? MissTriangleMm { get; init; }

    /// <summary>u of the miss triangle from the samples only: the corners move all three crossings together.</summary>
    public double? MissTriangleUMm { get; init; }

    /// <param name="traces">The traces of the node's lines, one per line; lines not found are left out.</param>
    /// <param name="place">Covariance of place at this point from the corners and the lens; zero when only shape counts.</param>
    public static NodeDeviation Of(BlockPoint intended, IReadOnlyList<TraceProfile> traces, Covariance2 place = default)
    {
        var crossings = new List<TraceCrossing>();
        for (int a = 0; a < traces.Count; a++)
            for (int b = a + 1; b < traces.Count; b++)
                if (traces[a].Line.Family != traces[b].Line.Family && TraceCrossing.Near(traces[a], traces[b], intended) is { } crossing)
                    crossings.Add(crossing);
        if (crossings.Count == 0) return new NodeDeviation { Intended = intended, Crossings = crossings };

        double x = crossings.Average(c => c.At.Xmm), y = crossings.Average(c => c.At.Ymm);
        double dx = x - intended.Xmm, dy = y - intended.Ymm, r = Math.Sqrt(dx * dx + dy * dy);
        Covariance2 covariance = MeanCovariance(crossings, traces).Plus(place);
        double along = r > 0 ? covariance.Along(dx / r, dy / r) : covariance.Trace / 2;
        double noiseFree = Math.Sqrt(Math.Max(0, r * r - covariance.Trace)), lift = Math.Min(r - noiseFree, Math.Sqrt(covariance.Trace));
        (double? triangle, double? triangleU) = Triangle(crossings, traces);
        return new NodeDeviation
        {
            Intended = intended,
            Crossings = crossings,
            Stitched = new BlockPoint(x, y),
            Covariance = covariance,
            RadialMm = r,
            RadialUMm = Math.Sqrt(along + 2 * lift * lift),
            RadialNoiseFreeMm = noiseFree,
            MissTriangleMm = triangle,
            MissTriangleUMm = triangleU,
        };
    }

    private static Covariance2 MeanCovariance(List<TraceCrossing> crossings, IReadOnlyList<TraceProfile> traces)
    {
        var sum = default(Covariance2);
        foreach (TraceProfile trace in traces)
        {
            (double X, double Y) perOffset = default, perSlope = default;
            ReferenceLineFit? piece = null;
            foreach (TraceCrossing crossing in crossings)
            {
                if (crossing.Sensitivity(trace) is not { } s) continue;
                perOffset = (perOffset.X + s.PerOffset.X / crossings.Count, perOffset.Y + s.PerOffset.Y / crossings.Count);
                perSlope = (perSlope.X + s.PerSlope.X / crossings.Count, perSlope.Y + s.PerSlope.Y / crossings.Count);
                piece = s.Piece;
            }
            if (piece is null) continue;
            double vo = piece.OffsetUMm * piece.OffsetUMm, vs = piece.SlopeU * piece.SlopeU, c = piece.Covariance;
            sum = sum.Plus(new Covariance2(
                perOffset.X * perOffset.X * vo + perSlope.X * perSlope.X * vs + 2 * perOffset.X * perSlope.X * c,
                perOffset.X * perOffset.Y * vo + perSlope.X * perSlope.Y * vs + (perOffset.X * perSlope.Y + perOffset.Y * perSlope.X) * c,
                perOffset.Y * perOffset.Y * vo + perSlope.Y * perSlope.Y * vs + 2 * perOffset.Y * perSlope.Y * c));
        }
        return sum;
    }

    private static (double? Size, double? U) Triangle(List<TraceCrossing> crossings, IReadOnlyList<TraceProfile> traces)
    {
        if (crossings.Count < 3) return (null, null);
        (TraceCrossing p, TraceCrossing q) = (crossings[0], crossings[1]);
        for (int i = 0; i < crossings.Count; i++)
            for (int j = 0; j < i; j++)
                if (crossings[i].At.DistanceTo(crossings[j].At) > p.At.DistanceTo(q.At)) (p, q) = (crossings[i], crossings[j]);
        double size = p.At.DistanceTo(q.At);
        // Two crossings of one triangle share a line and differ along it: for a vanishing triangle that line gives the direction.
        TraceProfile shared = p.A == q.A || p.A == q.B ? p.A : p.B;
        double ex = shared.Family.AlongX, ey = shared.Family.AlongY;
        if (size > 1e-9) (ex, ey) = ((p.At.Xmm - q.At.Xmm) / size, (p.At.Ymm - q.At.Ymm) / size);
        double variance = 0;
        foreach (TraceProfile trace in traces)
        {
            double perOffset = 0, perSlope = 0;
            ReferenceLineFit? piece = null;
            foreach ((TraceCrossing crossing, int sign) in new[] { (p, 1), (q, -1) })
            {
                if (crossing.Sensitivity(trace) is not { } s) continue;
                perOffset += sign * (ex * s.PerOffset.X + ey * s.PerOffset.Y);
                perSlope += sign * (ex * s.PerSlope.X + ey * s.PerSlope.Y);
                piece = s.Piece;
            }
            if (piece is not null)
                variance += perOffset * perOffset * piece.OffsetUMm * piece.OffsetUMm + perSlope * perSlope * piece.SlopeU * piece.SlopeU
                    + 2 * perOffset * perSlope * piece.Covariance;
        }
        return (size, Math.Sqrt(variance));
    }
}
