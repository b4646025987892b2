using System.Text.Json;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;

namespace Analyzer.Practice.Pages;

/// <summary>compare.json, schema "stitch-comparison/1": every row of a comparison for programs. What is not known is null.</summary>
public static class CompareJson
{
    public static string Write(Comparison c, FindingList next)
    {
        double? Known(double v) => double.IsFinite(v) ? v : null;
        var content = new
        {
            schema = "stitch-comparison/1",
            before = c.Before.Name,
            after = c.After.Name,
            sameGrid = c.SameGrid,
            toleranceMm = c.ToleranceMm,
            windowMm = c.WindowMm > 0 ? c.WindowMm : (double?)null,
            method = Comparison.Method,
            notes = c.Notes,
            rows = c.Rows.Select(r => new
            {
                measure = r.Measure.Code,
                family = r.Family,
                unit = r.Measure.Unit,
                before = Known(r.Before),
                after = Known(r.After),
                difference = Known(r.Difference),
                low95 = Known(r.Low),
                high95 = Known(r.High),
                p = Known(r.P),
                adjustedP = Known(r.AdjustedP),
                detectableChange = Known(r.DetectableChange),
                linesU = Known(r.LinesU),
                photoU = Known(r.PhotoU),
                lines = r.Lines,
                verdict = VerdictWords.InShort(r.Verdict),
            }),
            practiseNext = next.Findings.Select(f => new { code = f.Code, sentence = f.Sentence, drill = f.Drill, sharePercent = f.SharePercent, adjustedP = f.AdjustedP }),
        };
        return JsonSerializer.Serialize(content, JsonText);
    }

    private static readonly JsonSerializerOptions JsonText = new() { WriteIndented = true };
}
