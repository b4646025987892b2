using Analyzer.Core.Pattern;
using Analyzer.Practice.Comparing;

namespace Analyzer.Practice.Pages;

/// <summary>One stroke a line from before to after; two clouds of points where the grids differ.</summary>
internal static class PairedPlot
{
    private static readonly string?[] Dashes = [null, "7 4", "2 4", "9 3 2 3", "4 2", "1 2"];

    public static string Render(Comparison c, Measure measure)
    {
        Dictionary<string, (double Value, int Family)> before = Values(c.Before, measure, c), after = Values(c.After, measure, c);
        double top = before.Values.Concat(after.Values).Select(v => v.Value).DefaultIfEmpty(1).Max() * 1.08;
        var chart = new SvgChart(480, 340, (-0.35, 1.35), (0, top));
        chart.XAxis("", [(0, "before"), (1, "after")]);
        chart.YAxis($"{measure.Name.ToLowerInvariant()}, {measure.UnitName(c.Inches)}");
        if (c.SameGrid)
            foreach ((string id, (double value, int family)) in before)
                if (after.TryGetValue(id, out (double Value, int Family) other))
                    chart.Line([(0, value), (1, other.Value)], "#6a6a70", 1.5, Dashes[family % Dashes.Length], 0.8);
        foreach ((double value, int _) in before.Values) chart.Point(0, value, Html.BeforeColour);
        foreach ((double value, int _) in after.Values) chart.Point(1, value, Html.AfterColour, square: true);
        int families = c.Before.Families.Count;
        string strokes = !c.SameGrid ? "The grids differ, so lines are not joined."
            : families == 1 ? "One stroke a line." : "One stroke a line: " + string.Join(", ", Enumerable.Range(0, families).Select(f => $"family {IntendedGrid.FamilyLetter(f)} {DashName(f)}")) + ".";
        return $"<figure>{chart.Render($"{measure.Name} of every line before and after")}<figcaption>{Html.Escape(measure.Name)}, {measure.UnitName(c.Inches)}. {strokes} Round: before; square: after.</figcaption></figure>";
    }

    private static Dictionary<string, (double, int)> Values(ComparedBlock block, Measure measure, Comparison c) =>
        block.Items(measure, PhotoError.None, c.WindowMm).GroupBy(i => i.Key).ToDictionary(g => g.Key, g => (measure.Scale(c.Inches) * g.First().Value, g.First().Family));

    private static string DashName(int family) => family switch { 0 => "solid", 1 => "dashed", 2 => "dotted", _ => "dash-dotted" };
}
