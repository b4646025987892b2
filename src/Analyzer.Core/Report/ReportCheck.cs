using System.Globalization;

namespace Analyzer.Core.Report;

/// <summary>Whether a report that was read hangs together: nothing missing inside its lists, places of two numbers, samples in order along the line.</summary>
internal static class ReportCheck
{
    /// <summary>Throws <see cref="FormatException"/> with one sentence naming the first fault.</summary>
    public static void Sound(AccuracyReport report)
    {
        Need(report.Outcome is not null && Full(report.Reasons) && Full(report.Lines) && Full(report.Intersections) && Full(report.ExtraLines) && Full(report.Turns) && Full(report.Quality)
            && Full(report.Marks) && Full(report.StageTimes) && report.Settings is not null && report.Software is not null, "an entry is empty that must not be");
        Need(report.Grid is null || Sound(report.Grid.Families), "the grid's families are not whole");
        Need(report.Block is null || (report.Block.WidthMm > 0 && report.Block.HeightMm > 0 && report.Block.CornersPx is { Count: 4 } corners && corners.All(Place) && Full(report.Block.Notes)), "the block's size or corners are not whole");
        Need(report.Reasons.All(r => r.Code is not null && r.Message is not null && r.Advice is not null), "a reason has no words");
        foreach (LineReport line in report.Lines) Line(line);
        Need(report.Lines.Select(line => line.Id).Distinct().Count() == report.Lines.Count, "two lines have the same id");
        foreach (IntersectionReport node in report.Intersections)
            Need(node.Id is not null && Full(node.LineIds) && Place(node.IntendedMm) && (node.StitchedMm is null || Place(node.StitchedMm)) && Value(node.RadialMm)
                && Full(node.Crossings) && node.Crossings.All(c => Full(c.LineIds) && Place(c.AtMm)), $"the intersection {Short(node.Id)} is not whole");
        Need(report.ExtraLines.All(e => Place(e.FromMm) && Place(e.ToMm)), "an extra line has no ends");
        Need(report.Turns.All(t => Full(t.LineIds) && Place(t.IntendedMm) && (t.MeetingMm is null || Place(t.MeetingMm)) && Value(t.CutOffMm) && Value(t.RadiusMm)), "a turn at the ditch is not whole");
        Need(report.ErrorBudget is null || (Full(report.ErrorBudget.Causes) && report.ErrorBudget.Causes.All(c => c.Cause is not null && c.PlainWords is not null) && report.ErrorBudget.PlaceUMm is not null && Full(report.ErrorBudget.Remarks)), "the causes are not whole");
        Need(report.GridSuggestion is null || Sound(report.GridSuggestion.Families), "the suggested grid is not whole");
    }

    private static void Line(LineReport line)
    {
        string which = $"the line {Short(line.Id)}";
        Need(line.Id is not null && line.Status is not null && line.Family >= 0 && Full(line.Notes) && Full(line.Samples), which + " is not whole");
        Need(Place(line.FromMm) && Place(line.ToMm), which + " has no ends");
        Need(Value(line.OffsetMm) && Value(line.AngleDeg) && Value(line.StraightnessTotalMm) && Value(line.StraightnessRmsMm), which + " has a number without its place");
        double last = double.NegativeInfinity;
        foreach (LineSample sample in line.Samples)
        {
            Need(double.IsFinite(sample.AlongMm) && sample.AlongMm > last && double.IsFinite(sample.DeviationMm) && sample.U >= 0 && double.IsFinite(sample.U),
                string.Create(CultureInfo.InvariantCulture, $"{which} has samples that are not numbers in rising order"));
            last = sample.AlongMm;
        }
    }

    private static bool Sound(IReadOnlyList<FamilyInfo>? families) =>
        Full(families) && families!.All(f => f.SpacingMm > 0 && double.IsFinite(f.SpacingMm) && double.IsFinite(f.AngleDeg) && Place(f.ThroughMm));

    private static bool Full<T>(IReadOnlyList<T>? list) => list is not null && list.All(item => item is not null);

    private static bool Place(double[]? point) => point is { Length: 2 } && point.All(v => Math.Abs(v) <= 1e6);

    private static bool Value(MeasuredValue? value) => value is not null && (value.Value is not { } v || double.IsFinite(v)) && (value.U is not { } u || (u >= 0 && double.IsFinite(u)));

    private static string Short(string? id) => id is null ? "without an id" : id.Length <= 20 ? id : id[..20];

    private static void Need(bool holds, string fault)
    {
        if (!holds) throw new FormatException($"This report is damaged: {fault}; measure the photo again.");
    }
}
