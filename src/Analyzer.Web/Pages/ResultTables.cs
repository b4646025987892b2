using System.Globalization;
using Analyzer.Core.Report;

namespace Analyzer.Web.Pages;

/// <summary>Every line and crossing as tables that sort, filter, and are linked with the picture.</summary>
internal static class ResultTables
{
    public static string Lines(AccuracyReport report) => $"""
        <h2 id="lines-title">Lines</h2>
        <p class="hint">Choose a row to see the line in the picture. <strong>Beside its place</strong>: how far the middle of the line lies beside where it was meant to be; <strong>wobble</strong>: r.m.s. about the line's own straight line; <strong>widest swing</strong>: between its outermost places on either side.</p>
        <div class="filters" role="group" aria-label="Which lines are shown">
        <label>Direction <select id="only-family"><option value="">all</option>{string.Concat(Families(report))}</select></label>
        <label>State <select id="only-state"><option value="">all</option>{string.Concat(report.Lines.Select(l => l.Status).Distinct().Select(s => $"<option value=\"{Layout.E(s)}\">{Layout.E(ResultWords.Status(s))}</option>"))}</select></label>
        <label>Off or wobbling by at least <input id="only-larger" inputmode="decimal" size="4" maxlength="8" placeholder="0"> <span class="unit-name"></span></label>
        <span id="lines-shown" class="hint" aria-live="polite"></span></div>
        <div class="scroll" tabindex="0" role="region" aria-labelledby="lines-title"><table id="lines" class="sortable">
        <thead><tr>{Head("Line", false)}{Head("State", false)}{Head("Seen", true)}{Head("Beside its place", true)}{Head("Turned by", true)}{Head("Wobble", true)}{Head("Widest swing", true)}</tr></thead>
        <tbody>{string.Concat(report.Lines.Select(Row))}</tbody></table></div>
        """;

    public static string Crossings(AccuracyReport report) => report.Intersections.Count == 0 ? "" : $"""
        <details id="crossings-box"><summary>Crossings ({report.Intersections.Count.ToString(CultureInfo.InvariantCulture)})</summary>
        <div class="filters" role="group" aria-label="Which crossings are shown"><label>With line <input id="only-line" size="5" maxlength="8" autocomplete="off"></label> <label>Off by at least <input id="only-off" inputmode="decimal" size="4" maxlength="8" placeholder="0"> <span class="unit-name"></span></label> <span id="crossings-shown" class="hint" aria-live="polite"></span></div>
        <div class="scroll" tabindex="0" role="region" aria-label="Crossings"><table id="crossings" class="sortable">
        <thead><tr>{Head("Crossing", false)}{Head("Off its place", true)}{Head("Lines miss each other by", true)}</tr></thead>
        <tbody>{string.Concat(report.Intersections.Select(Crossing))}</tbody></table></div></details>
        """;

    private static IEnumerable<string> Families(AccuracyReport report) => (report.Grid?.Families ?? []).Select(f => string.Create(CultureInfo.InvariantCulture,
        $"<option value=\"{f.Family}\">{Core.Pattern.IntendedGrid.FamilyLetter(f.Family)}: {Direction(f.AngleDeg)}</option>"));

    private static string Direction(double angleDeg)
    {
        double folded = angleDeg - 180 * Math.Round(angleDeg / 180);
        return Math.Abs(folded) < 0.5 ? "across" : Math.Abs(folded) > 89.5 ? "up and down" : string.Create(CultureInfo.InvariantCulture, $"{(folded > 0 ? "rising" : "falling")} {Math.Abs(folded):0.#}°");
    }

    private static string Head(string name, bool isNumber) =>
        $"<th scope=\"col\"{(isNumber ? " class=\"num\"" : "")}><button type=\"button\" class=\"sort\">{Layout.E(name)}<span class=\"arrow\" aria-hidden=\"true\"></span></button></th>";

    private static string Row(LineReport line)
    {
        string coverage = line.Status is "measured" or "partial" ? string.Create(CultureInfo.InvariantCulture, $"{100 * line.Coverage:0} %") : "–";
        return $"""
            <tr data-line="{Layout.E(line.Id)}"><th scope="row" data-sort="{line.Family * 10000 + line.Index + 5000}"><button type="button" class="pick"><span class="swatch f{line.Family % 6}" aria-hidden="true"></span>{Layout.E(line.Id)}</button></th>
            <td>{Layout.E(ResultWords.Status(line.Status))}</td><td class="num" data-sort="{Sort(line.Coverage)}">{coverage}</td>
            {Cell(line.OffsetMm, ResultWords.Length(line.OffsetMm))}{Cell(line.AngleDeg, ResultWords.Degrees(line.AngleDeg))}{Cell(line.StraightnessRmsMm, ResultWords.Length(line.StraightnessRmsMm))}{Cell(line.StraightnessTotalMm, ResultWords.Length(line.StraightnessTotalMm))}</tr>
            """;
    }

    private static string Crossing(IntersectionReport crossing) => $"""
        <tr data-crossing="{Layout.E(crossing.Id)}"><th scope="row"><button type="button" class="pick">{Layout.E(crossing.Id)}</button></th>{Cell(crossing.RadialMm, ResultWords.Length(crossing.RadialMm))}{(crossing.MissTriangleMm is { } miss ? Cell(miss, ResultWords.Length(miss)) : "<td class=\"num\" data-sort=\"-1\">two lines only</td>")}</tr>
        """;

    /// <summary>Sorted by size: a line off to the left counts like one off to the right. What is not known comes last.</summary>
    private static string Cell(MeasuredValue value, string html) => $"<td class=\"num\" data-sort=\"{Sort(value.Value is { } v ? Math.Abs(v) : -1)}\">{html}</td>";

    private static string Sort(double value) => value.ToString("0.#####", CultureInfo.InvariantCulture);
}
