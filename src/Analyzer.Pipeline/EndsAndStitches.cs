using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Vision.Ends;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>Over- and undershoot at the ditch and stitch lengths, line by line; and the bounces at the ditch.</summary>
internal static class EndsAndStitches
{
    public static AccuracyReport AddTo(AccuracyReport report, IReadOnlyList<LineDetails?> details, IntendedGrid grid, CornerUncertainty corners) =>
        report with { Lines = [.. report.Lines.Select((line, i) => details[i] is { } d ? Of(line, d, grid, corners) : line)] };

    /// <summary>Every bounce of the pattern at the ditch, read or not.</summary>
    public static IReadOnlyList<TurnReport> Turns(Photo photo, BlockPlane plane, IntendedGrid grid, IReadOnlyList<TracedLine?> lines)
    {
        IReadOnlyList<DitchTurn> turns = DitchTurn.Of(grid);
        return [.. turns.Zip(TurnFinder.Read(photo, plane, turns, grid, lines), (turn, seen) => seen is not { } t
            ? new TurnReport([turn.A.Id, turn.B.Id], LineDeviations.Round(turn.At), MeasuredValue.Unknown, MeasuredValue.Unknown)
            : new TurnReport([turn.A.Id, turn.B.Id], LineDeviations.Round(turn.At), Measured(t.CutOffMm, t.CutOffUMm), Measured(t.RadiusMm, t.RadiusUMm)) { MeetingMm = LineDeviations.Round(t.At) })];
        static MeasuredValue Measured(double value, double u) => new(LineDeviations.Round(value), LineDeviations.Round(u));
    }

    private static LineReport Of(LineReport line, LineDetails details, IntendedGrid grid, CornerUncertainty corners)
    {
        LineFamily family = grid.Families[line.Family];
        line = line with
        {
            StartOvershootMm = End(details.Start, family, line.FromMm, corners),
            EndOvershootMm = End(details.End, family, line.ToMm, corners),
        };
        if (details.Stitches is not { } s) return line;
        double perInch = Length.MillimetresPerInch / s.MeanMm;
        return line with
        {
            StitchLengthMm = new MeasuredValue(LineDeviations.Round(s.MeanMm), LineDeviations.Round(s.MeanUMm)),
            StitchLengthSpreadMm = s.SpreadMm is { } spread ? LineDeviations.Round(spread) : null,
            StitchLengthSpreadUMm = s.SpreadUMm is { } u ? LineDeviations.Round(u) : null,
            StitchesPerInch = new MeasuredValue(LineDeviations.Round(perInch, 3), LineDeviations.Round(perInch * s.MeanUMm / s.MeanMm, 3)),
        };
    }

    /// <summary>The edge itself is as sure as the corners: their part along the line is added.</summary>
    private static MeasuredValue? End(ThreadEnd? end, LineFamily family, double[] at, CornerUncertainty corners)
    {
        if (end is not { } e) return null;
        var along = new LineFamily(family.AngleDeg > 90 ? family.AngleDeg - 90 : family.AngleDeg + 90, family.SpacingMm, family.Through);
        return new MeasuredValue(LineDeviations.Round(e.OvershootMm), LineDeviations.Round(Math.Sqrt(e.UMm * e.UMm + Math.Pow(corners.AcrossMm(along, new BlockPoint(at[0], at[1])), 2))));
    }
}
