using System.Globalization;
using Analyzer.Core.Report;

namespace Analyzer.Reporting.Html;

/// <summary>The findings in plain words: how good, where the error comes from, what to try next.</summary>
internal sealed record Headline(string Title, IReadOnlyList<string> Sentences, string? WhereFrom, string? TryNext)
{
    public static Headline Of(AccuracyReport report, UnitFormat units)
    {
        DeviationSummary all = DeviationSummary.Of(report);
        if (all.Samples == 0)
            return new Headline("No stitched line could be read in this photo", [], null, "Take the photo again with light from the side, and check that size and grid are those of this block.");
        var sentences = new List<string>
        {
            $"Half of all measured places lie within {units.SmallWithUnit(all.MedianMm)} of the intended lines, and 95 of 100 within {units.SmallWithUnit(all.P95Mm)}.",
            $"The farthest place is {units.SmallWithUnit(Math.Abs(all.WorstMm))} off, on line {all.WorstLine}, {units.Long(all.WorstAlongMm)} from its start.",
        };
        if (all.NodesMeasured > 0)
            sentences.Add($"Half of the {all.NodesMeasured} measured crossings lie within {units.SmallWithUnit(all.NodeMedianMm)} of their intended place; the farthest is {all.WorstNode}, {units.SmallWithUnit(all.WorstNodeMm)} off.");
        if (all.PlaceUMm is { } u)
            sentences.Add(2 * u > all.RmsMm
                ? $"The photo alone can shift places by up to about {units.UnsureWithUnit(2 * u)} (k = 2), as much as the error itself: take offsets and crossing errors with care, wobble is known better."
                : $"The photo can shift places by about {units.UnsureWithUnit(2 * u)} (k = 2); wobble is known better than that.");
        if (report.Marking is { MarkRmsMm.Value: { } mark, StitchAgainstMarkRmsMm.Value: { } stitch } marking)
        {
            sentences.Add(marking.MarkingIsMain
                ? $"The marking itself was off by {units.SmallWithUnit(mark)}; your stitching followed the marks to {units.SmallWithUnit(stitch)}."
                : $"The drawn marks lie {units.SmallWithUnit(mark)} from the pattern, typically, and your stitching {units.SmallWithUnit(stitch)} from the marks.");
            if (marking.MarkingIsMain && 2 * stitch < all.RmsMm * 1.5)
                return new Headline($"Your stitching follows its marks to {units.SmallWithUnit(stitch)}; the marks lie {units.SmallWithUnit(mark)} from the pattern", sentences, marking.PlainWords,
                    "Mark again with care before you work on your hand: tape the stencil or ruler down, check it against two corners, and keep the pen upright along the ruler's edge.");
        }
        CauseShare? main = report.ErrorBudget?.Causes.MaxBy(c => c.Percent);
        return new Headline(
            $"Your stitching lies typically {units.SmallWithUnit(all.RmsMm)} from the intended lines",
            sentences,
            main is null ? null : string.Create(CultureInfo.InvariantCulture, $"Mostly from {CauseWords.Name(main.Cause)} ({UnitFormat.Text(main.LowPercent, "0")} to {UnitFormat.Text(main.HighPercent, "0")} % of the squared error). {main.PlainWords}"),
            main is null ? null : CauseWords.Advice(main.Cause));
    }
}
