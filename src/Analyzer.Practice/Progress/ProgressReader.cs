using Analyzer.Practice.Comparing;
using Analyzer.Practice.Log;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Progress;

/// <summary>One block on the time line.</summary>
public sealed record ProgressPoint(DateOnly Date, double CumulativeMinutes, double? MinutesPerMetre, BlockNumbers Numbers);

/// <summary>One measure's trend against cumulative minutes (or days, where minutes were never noted).</summary>
/// <param name="PerHour">Theil-Sen slope per 60 minutes practised (or per 30 days), 95 % interval.</param>
public sealed record MeasureTrend(Measure Measure, TheilSen PerHour, MannKendall Test, LearningCurve? Curve, string Sentence);

/// <summary>A person's practice over time.</summary>
public sealed record PracticeProgress(
    string Who, IReadOnlyList<ProgressPoint> Points, bool ByMinutes, IReadOnlyList<MeasureTrend> Trends, SteeringLaw? Pace, string PaceSentence, IReadOnlyList<string> Notes, bool Invented)
{
    /// <summary>True when the maker reads inches; the numbers here are mm all the same.</summary>
    public bool Inches { get; init; }
}

/// <summary>Turns sessions of the log into trends.</summary>
public static class ProgressReader
{
    public static PracticeProgress Read(string who, IReadOnlyList<PracticeSession> sessions)
    {
        var notes = new List<string>();
        List<ProgressPoint> all = Points(sessions, notes);
        IGrouping<string, ProgressPoint>? main = all.GroupBy(p => p.Numbers.GridKey).OrderByDescending(g => g.Count()).ThenByDescending(g => g.Max(p => p.Date)).FirstOrDefault();
        List<ProgressPoint> points = main is null ? [] : [.. main];
        if (points.Count < all.Count)
            notes.Add($"{all.Count - points.Count} of {all.Count} blocks have another size or grid and are left out: only like is compared with like.");
        int without = sessions.Count(s => s.Minutes is null);
        bool byMinutes = sessions.Any(s => s.Minutes > 0);
        if (byMinutes && without > 0) notes.Add($"{without} of {sessions.Count} sessions have no minutes noted; they count as none.");
        List<MeasureTrend> trends = [.. Measure.All.Select(m => Trend(m, points, byMinutes)).OfType<MeasureTrend>()];
        (SteeringLaw? pace, string sentence) = Pace(points);
        bool invented = sessions.Any(s => s.Note?.Contains("invented", StringComparison.OrdinalIgnoreCase) == true);
        return new PracticeProgress(who, points, byMinutes, trends, pace, sentence, notes, invented);
    }

    private static List<ProgressPoint> Points(IReadOnlyList<PracticeSession> sessions, List<string> notes)
    {
        var points = new List<ProgressPoint>();
        double minutes = 0;
        int unreadable = 0;
        foreach (PracticeSession session in sessions)
        {
            minutes += session.Minutes ?? 0;
            foreach (PracticeBlock block in session.Blocks)
            {
                if (BlockNumbers.TryOf(block.ReportJson) is not { } numbers)
                {
                    unreadable++;
                    continue;
                }
                double? pace = block.StitchMinutes is > 0 && numbers.LineMetres > 0 ? block.StitchMinutes / numbers.LineMetres : null;
                points.Add(new ProgressPoint(session.HeldOn, minutes, pace, numbers));
            }
        }
        if (unreadable > 0) notes.Add($"{unreadable} blocks could not be measured and are left out.");
        return points;
    }

    private static MeasureTrend? Trend(Measure measure, List<ProgressPoint> points, bool byMinutes)
    {
        List<ProgressPoint> seen = [.. points.Where(p => p.Numbers.Of(measure).Value is not null)];
        if (seen.Count < 2) return null;
        double[] x = [.. seen.Select(p => byMinutes ? p.CumulativeMinutes : p.Date.DayNumber)], y = [.. seen.Select(p => p.Numbers.Of(measure).Value!.Value)];
        double unit = byMinutes ? 60 : 30;
        TheilSen line = TheilSen.Of([.. x.Select(v => v / unit)], y);
        MannKendall test = MannKendall.Of(x, y);
        LearningCurve? curve = measure.HigherIsBetter ? null : LearningCurve.Fit(x, y);
        return new MeasureTrend(measure, line, test, curve, Sentence(measure, seen.Count, line, test, curve, byMinutes));
    }

    private static string Sentence(Measure m, int blocks, TheilSen line, MannKendall test, LearningCurve? curve, bool byMinutes)
    {
        if (blocks < MannKendall.FewestForFivePercent)
            return $"Too little data: {blocks} blocks; a trend needs at least {MannKendall.FewestForFivePercent}.";
        string per = byMinutes ? "an hour of practice" : "30 days";
        if (test.TwoSidedP > 0.05 || !double.IsFinite(line.Low) || !double.IsFinite(line.High))
            return $"No trend shown yet ({blocks} blocks, chance alone does this in {100 * test.TwoSidedP:0} of 100 cases).";
        bool falls = line.Slope < 0;
        string trend = $"{(falls ? "Falls" : "Rises")} by {m.Text(Math.Abs(line.Slope), unit: true)} for {per} (95 %: {m.Text(Math.Min(Math.Abs(line.Low), Math.Abs(line.High)))} to {m.Text(Math.Max(Math.Abs(line.Low), Math.Abs(line.High)), unit: true)}): {(falls == !m.HigherIsBetter ? "getting better" : "getting worse")}.";
        if (blocks < LearningCurve.FewestBlocks || m.HigherIsBetter) return trend;
        if (curve is null || curve.P > 0.05 || curve.Gain <= 0) return trend + " No levelling-off can be seen yet.";
        string floor = double.IsFinite(curve.FloorHigh) ? $"{m.Text(curve.FloorLow)} to {m.Text(curve.FloorHigh, unit: true)}" : $"above {m.Text(curve.FloorLow, unit: true)}";
        return trend + (curve.FloorLow <= 0.0005
            ? $" Where it levels off cannot be told yet (95 %: anything up to {m.Text(curve.FloorHigh, unit: true)})."
            : $" On this course it levels off near {m.Text(curve.Floor, unit: true)} (95 %: {floor}).");
    }

    private static (SteeringLaw?, string) Pace(List<ProgressPoint> points)
    {
        List<ProgressPoint> timed = [.. points.Where(p => p.MinutesPerMetre is > 0 && p.Numbers.WobbleMm.Value is not null)];
        if (timed.Count < SteeringLaw.FewestBlocks)
            return (null, $"Speed against accuracy needs at least {SteeringLaw.FewestBlocks} blocks with their own stitching minutes noted; there are {timed.Count}.");
        SteeringLaw? law = SteeringLaw.Fit([.. timed.Select(p => p.MinutesPerMetre!.Value)], [.. timed.Select(p => p.Numbers.WobbleMm.Value!.Value)]);
        if (law is null) return (null, "All timed blocks were sewn at nearly the same pace, so speed against accuracy cannot be told. Sew one block slowly and one fast.");
        return law.Shown
            ? (law, $"At half your usual pace your wobble falls by about {100 * law.FallAtHalfPace:0} % (95 %: {100 * law.FallLow:0} to {100 * law.FallHigh:0}). Usual pace: {law.SpeedMPerMin:0.00} m of line a minute. If you also slowed down as you learned, part of this is learning.")
            : (law, "No link between pace and wobble is shown yet.");
    }
}
