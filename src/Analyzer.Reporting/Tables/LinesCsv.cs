using Analyzer.Core.Report;

namespace Analyzer.Reporting.Tables;

/// <summary>lines.csv: one row per intended line, found or not. Lengths in mm, angles in degrees, _u columns are standard uncertainties.</summary>
internal static class LinesCsv
{
    /// <summary>The columns in their order. A cell is empty where the number is not known.</summary>
    public static IReadOnlyList<(string Name, string Meaning)> Columns { get; } =
    [
        ("line", "id of the line: family letter and number"),
        ("family", "number of the family, from 0"),
        ("index", "number of the line within its family's definition"),
        ("status", "measured, partial, not-found or unreadable"),
        ("coverage", "share of the line on which the thread was seen, 0 to 1"),
        ("from_x_mm", "start of the intended line"), ("from_y_mm", ""), ("to_x_mm", "its end"), ("to_y_mm", ""),
        ("offset_mm", "reference line against intended line at mid-length"), ("offset_u_mm", ""),
        ("angle_deg", "reference line against intended line"), ("angle_u_deg", ""),
        ("straightness_total_mm", "wobble peak to valley about the reference line (STRt, ISO 12780-1)"), ("straightness_total_u_mm", ""),
        ("straightness_rms_mm", "wobble r.m.s. about the reference line (STRq, ISO 12780-1)"), ("straightness_rms_u_mm", ""),
        ("rms_deviation_mm", "r.m.s. distance from the intended line"),
        ("largest_deviation_mm", "signed distance where the thread is farthest from the intended line"),
        ("largest_deviation_along_mm", "where along the line that is"),
        ("samples", "number of places measured"),
        ("stitch_length_mm", "mean stitch length"), ("stitch_length_u_mm", ""), ("stitch_length_spread_mm", "one standard deviation"),
        ("start_overshoot_mm", "thread beyond (+) or short of (-) the ditch"), ("start_overshoot_u_mm", ""),
        ("end_overshoot_mm", ""), ("end_overshoot_u_mm", ""),
        ("wobble_long_mm", "wobble r.m.s. in waves of 20 to 60 mm"), ("wobble_middle_mm", "8 to 20 mm"), ("wobble_short_mm", "two stitches to 8 mm"),
        ("notes", "remarks in plain words"),
    ];

    public static string Write(AccuracyReport report)
    {
        var csv = new CsvText();
        foreach ((string name, _) in Columns) csv.Cell(name);
        csv.Row();
        foreach (LineReport line in report.Lines) WriteRow(csv, line);
        return csv.ToString();
    }

    private static void WriteRow(CsvText csv, LineReport line)
    {
        LineSample? worst = line.Samples.MaxBy(s => Math.Abs(s.DeviationMm));
        double? rms = line.Samples.Count > 0 ? Math.Sqrt(line.Samples.Average(s => s.DeviationMm * s.DeviationMm)) : null;
        csv.Cell(line.Id).Cell(line.Family).Cell(line.Index).Cell(line.Status).Cell(line.Coverage)
            .Cell(line.FromMm[0]).Cell(line.FromMm[1]).Cell(line.ToMm[0]).Cell(line.ToMm[1]);
        Pair(csv, line.OffsetMm);
        Pair(csv, line.AngleDeg);
        Pair(csv, line.StraightnessTotalMm);
        Pair(csv, line.StraightnessRmsMm);
        csv.Cell(rms).Cell(worst?.DeviationMm).Cell(worst?.AlongMm).Cell(line.Samples.Count);
        Pair(csv, line.StitchLengthMm);
        csv.Cell(line.StitchLengthSpreadMm);
        Pair(csv, line.StartOvershootMm);
        Pair(csv, line.EndOvershootMm);
        for (int band = 0; band < 3; band++) csv.Cell(line.WobbleBandsMm is { } bands && band < bands.Count ? bands[band] : null);
        csv.Cell(string.Join(" ", line.Notes)).Row();
    }

    private static void Pair(CsvText csv, MeasuredValue? measured) => csv.Cell(measured?.Value).Cell(measured?.U);
}
