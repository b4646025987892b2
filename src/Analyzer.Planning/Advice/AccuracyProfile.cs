using Analyzer.Core.Report;

namespace Analyzer.Planning.Advice;

/// <summary>How far a quilter's lines lie from where they should, as standard deviations across the line.</summary>
/// <param name="PlacementMm">A whole line laid too far to one side, mm.</param>
/// <param name="WobbleMm">r.m.s. straightness about the line's own reference line, mm.</param>
public sealed record AccuracyProfile(double PlacementMm, double WobbleMm)
{
    /// <summary>Standard deviation across the line at any one point, mm.</summary>
    public double PointMm => Math.Sqrt(PlacementMm * PlacementMm + WobbleMm * WobbleMm);

    /// <summary>From two figures off a report: r.m.s. straightness, and r.m.s. radial distance of crossings from their place.</summary>
    /// <remarks>A crossing of two lines at right angles is off by both lines' errors: radial² = 2 (placement² + wobble²).</remarks>
    public static AccuracyProfile FromFigures(double wobbleMm, double crossingMm) =>
        new(Math.Sqrt(Math.Max(0, crossingMm * crossingMm / 2 - wobbleMm * wobbleMm)), wobbleMm);

    /// <summary>From a measured block, with the photo's own uncertainty taken off. Null when fewer than three lines were measured.</summary>
    public static AccuracyProfile? FromReport(AccuracyReport report)
    {
        var lines = report.Lines.Where(l => l.OffsetMm.Value is not null && l.StraightnessRmsMm.Value is not null).ToList();
        if (lines.Count < 3) return null;
        return new AccuracyProfile(Root(lines.Select(l => l.OffsetMm)), Root(lines.Select(l => l.StraightnessRmsMm)));
    }

    private static double Root(IEnumerable<MeasuredValue> values)
    {
        double sum = 0;
        int count = 0;
        foreach (MeasuredValue v in values)
        {
            double u = v.U ?? 0;
            sum += v.Value!.Value * v.Value.Value - u * u;
            count++;
        }
        return Math.Sqrt(Math.Max(0, sum / count));
    }
}
