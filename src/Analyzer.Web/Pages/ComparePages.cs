using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Web.Blocks;
using Analyzer.Web.Practice;

namespace Analyzer.Web.Pages;

/// <summary>Choosing two blocks, and seeing them side by side.</summary>
internal static class ComparePages
{
    public static string Choose(Workbench workbench, string? before, string? after, string? trouble = null)
    {
        ReportSource[] bench = [.. ReportSources.Bench(workbench)], opened = [.. ReportSources.Opened(workbench)], logged = [.. ReportSources.Logged(workbench)];
        bool inches = workbench.Blocks.All() is [var newest, ..] && newest.Choice.Inches;
        int all = bench.Length + opened.Length + logged.Length;
        string empty = all >= 2 ? "" : $"""
            <p class="note">{(all == 0 ? "There is no measured block yet." : "There is only one measured block so far.")} <a href="/">Measure a photo</a> of each of two blocks, or open the report.json of an earlier one below. What was measured stays here until the workbench is closed; <strong>Save in the log</strong> on the result page keeps it for good.</p>
            """;
        return Layout.Area("Compare", "Compare", workbench.Token.Text, "compare.js", $"""
            <h1>What has changed?</h1>
            <p class="lead">Two blocks, before and after. Each measure is called better, worse, or not to be told from this pair.</p>
            {(trouble is null ? "" : $"<p class=\"note caution\">{Layout.E(trouble)}</p>")}
            {empty}
            <form class="card narrow" action="/compare/view" method="get">
            {Select("before", "Before", before, bench, opened, logged)}
            {Select("after", "After", after ?? bench.FirstOrDefault()?.Key, bench, opened, logged)}
            <label class="block">Counts as on the line up to <input name="tolerance" size="5" inputmode="decimal" value="0.5" maxlength="8"> mm beside it</label>
            <label class="block">Show lengths in <select name="units"><option value="mm">millimetres</option><option value="in"{(inches ? " selected" : "")}>inches</option></select></label>
            <p><button type="submit" class="button">Compare</button></p>
            </form>
            <h2>Blocks from elsewhere</h2>
            <p><label class="button quiet" for="open-reports">Open report.json files</label><input id="open-reports" class="file" type="file" accept=".json,application/json" multiple> <span class="hint">from an earlier measurement; they are only read</span></p>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            """);
    }

    public static string View(Workbench workbench, Comparison comparison, FindingList next, string query) => Layout.Area("Before and after", "Compare", workbench.Token.Text, "compare.js", $"""
        <p class="stack noprint"><a class="button quiet small" href="/compare?{Layout.E(query)}">Choose other blocks</a> <a class="button quiet small" href="/compare/compare.html?{Layout.E(query)}" download>Save the page</a> <a class="button quiet small" href="/compare/compare.json?{Layout.E(query)}" download>Save the numbers (JSON)</a> <button type="button" class="button quiet small" id="print">Print</button></p>
        <div class="paper">{Analyzer.Practice.Pages.ComparePage.Body(comparison, next)}</div>
        """);

    private static string Select(string name, string label, string? chosen, params ReportSource[][] groups)
    {
        string[] names = ["On the bench", "Opened from files", "In the practice log"];
        string options = string.Concat(groups.Select((g, i) => g.Length == 0 ? "" :
            $"<optgroup label=\"{names[i]}\">{string.Concat(g.Select(s => $"<option value=\"{s.Key}\"{(s.Key == chosen ? " selected" : "")}>{Layout.E(s.Name)}</option>"))}</optgroup>"));
        return $"<label class=\"block\">{label} <select name=\"{name}\" id=\"{name}\" required><option value=\"\">choose a block</option>{options}</select></label>";
    }
}
