using System.Globalization;
using Analyzer.Core.Report;

namespace Analyzer.Web.Pages;

/// <summary>The result in plain words, and lengths that the page can show in either unit.</summary>
internal static class ResultWords
{
    /// <summary>A length with its expanded uncertainty 2u (JCGM 100, k = 2) where known. The script rewrites it when the unit is switched.</summary>
    public static string Length(double? mm, double? u = null)
    {
        if (mm is not { } value) return "<span class=\"unknown\">not known</span>";
        string data = string.Create(CultureInfo.InvariantCulture, $"data-mm=\"{value:0.####}\"") + (u is { } known ? string.Create(CultureInfo.InvariantCulture, $" data-u=\"{known:0.#####}\"") : "");
        string give = u is { } half ? string.Create(CultureInfo.InvariantCulture, $" ± {Math.Max(0.01, 2 * half):0.00}") : "";
        return string.Create(CultureInfo.InvariantCulture, $"<span class=\"len\" {data}>{value:0.00}{give} mm</span>").Replace(">-", ">−", StringComparison.Ordinal);
    }

    public static string Length(MeasuredValue? value) => Length(value?.Value, value?.U);

    public static string Degrees(MeasuredValue? value)
    {
        if (value?.Value is not { } angle) return "<span class=\"unknown\">not known</span>";
        string give = value.U is { } u ? string.Create(CultureInfo.InvariantCulture, $" ± {Math.Max(0.01, 2 * u):0.00}") : "";
        return string.Create(CultureInfo.InvariantCulture, $"{angle:0.00}{give}°").Replace('-', '−');
    }

    public static string Status(string status) => status switch
    {
        "measured" => "measured",
        "partial" => "seen in part",
        "not-found" => "not found",
        "unreadable" => "not readable",
        _ => status,
    };

    public static string Outcome(string outcome) => outcome switch
    {
        "measured" => "Measured",
        "measured-with-cautions" => "Measured, with cautions",
        _ => "Not measured",
    };

    public static string Title(AccuracyReport report)
    {
        double[] all = Deviations(report);
        return all.Length == 0 ? "No stitched line could be read" : $"Your stitching lies typically {Length(Math.Sqrt(all.Average(d => d * d)))} from the lines you meant";
    }

    public static IEnumerable<string> Sentences(AccuracyReport report)
    {
        LineReport[] seen = [.. report.Lines.Where(l => l.Status is "measured" or "partial")];
        int missing = report.Lines.Count - seen.Length;
        yield return $"{seen.Length} of {report.Lines.Count} lines were read{(missing > 0 ? $"; {missing} could not be, and nothing is claimed about them" : "")}.";
        if (seen.Where(l => l.StraightnessRmsMm.Value is not null).MaxBy(l => l.StraightnessRmsMm.Value) is { } wobbly)
        {
            double[] rms = [.. seen.Select(l => l.StraightnessRmsMm.Value).OfType<double>().Order()];
            yield return $"A typical line wobbles by {Length(Median(rms))} about its own straight line; the wobbliest is {Layout.E(wobbly.Id)} with {Length(wobbly.StraightnessRmsMm)}.";
        }
        if (seen.Where(l => l.OffsetMm.Value is not null).MaxBy(l => Math.Abs(l.OffsetMm.Value!.Value)) is { } off)
            yield return $"The line farthest from its place as a whole is {Layout.E(off.Id)}: its middle lies {Length(Math.Abs(off.OffsetMm.Value!.Value), off.OffsetMm.U)} beside it.";
        IntersectionReport[] crossed = [.. report.Intersections.Where(i => i.RadialMm.Value is not null)];
        if (crossed.MaxBy(i => i.RadialMm.Value) is { } worst)
            yield return $"Half of the {crossed.Length} crossings read lie within {Length(Median([.. crossed.Select(i => i.RadialMm.Value!.Value).Order()]))} of their place; the farthest is {Layout.E(worst.Id)}, {Length(worst.RadialMm)} off.";
    }

    private static double[] Deviations(AccuracyReport report) => [.. report.Lines.SelectMany(l => l.Samples).Select(s => s.DeviationMm)];

    private static double Median(double[] sorted) => (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
}
