using Analyzer.Core.Report;

namespace Analyzer.Reporting.Tables;

/// <summary>intersections.csv: one row per intended intersection, found or not. Lengths in mm, _u columns are standard uncertainties.</summary>
internal static class IntersectionsCsv
{
    /// <summary>The columns in their order. A cell is empty where the number is not known.</summary>
    public static IReadOnlyList<(string Name, string Meaning)> Columns { get; } =
    [
        ("intersection", "id: its lines joined by x"),
        ("lines", "the lines' ids with a space between"),
        ("intended_x_mm", "where the lines should meet"), ("intended_y_mm", ""),
        ("stitched_x_mm", "where they do: mean of the pairwise crossings"), ("stitched_y_mm", ""),
        ("error_x_mm", "stitched minus intended, to the right"), ("error_y_mm", "downward"),
        ("radial_mm", "distance of the stitched from the intended place"), ("radial_u_mm", ""),
        ("miss_triangle_mm", "largest distance between two of the three crossings"), ("miss_triangle_u_mm", ""),
        ("crossings_found", "number of pairwise crossings measured"),
    ];

    public static string Write(AccuracyReport report)
    {
        var csv = new CsvText();
        foreach ((string name, _) in Columns) csv.Cell(name);
        csv.Row();
        foreach (IntersectionReport node in report.Intersections)
        {
            double[]? at = node.StitchedMm;
            csv.Cell(node.Id).Cell(string.Join(' ', node.LineIds)).Cell(node.IntendedMm[0]).Cell(node.IntendedMm[1])
                .Cell(at?[0]).Cell(at?[1]).Cell(at?[0] - node.IntendedMm[0]).Cell(at?[1] - node.IntendedMm[1])
                .Cell(node.RadialMm.Value).Cell(node.RadialMm.U).Cell(node.MissTriangleMm?.Value).Cell(node.MissTriangleMm?.U)
                .Cell(node.Crossings.Count).Row();
        }
        return csv.ToString();
    }
}
