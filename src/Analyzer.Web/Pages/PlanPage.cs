using Analyzer.Planning;
using Analyzer.Planning.Route;
using Analyzer.Planning.Words;
using Analyzer.Web.Blocks;
using Analyzer.Web.Plans;
using Analyzer.Web.Practice;

namespace Analyzer.Web.Pages;

/// <summary>Planning a block: sliders on the left, the block that follows them and sews itself on the right.</summary>
internal static class PlanPage
{
    public static string Write(Workbench workbench) => Layout.Area("Plan", "Plan", workbench.Token.Text, "plan.js", $"""
        <h1>Plan a block before you sew it</h1>
        <p class="lead">Choose size and pattern. The drawing follows at once and shows in which order to sew it in one go.</p>
        <div class="planner">
        <form id="plan-form" class="card" novalidate>
        {ChoiceForm.Write("8in", "triangle:1in")}
        <label class="block" id="spacing-slide">Slide the spacing <input type="range" id="spacing-range" min="6" max="60" step="0.5" aria-label="Spacing of the lines"></label>
        <div id="fit" class="note" hidden><p id="fit-words"></p><div id="fit-offers" class="presets" role="group" aria-label="Spacings that fit"></div></div>
        <fieldset class="group"><legend>The path</legend>
        <label class="block">Order <select id="order">{string.Concat(Enum.GetValues<RouteRule>().Select(r => $"<option value=\"{PlanWriter.Code(r)}\">{Layout.E(RouteWords.Rule(r))}</option>"))}</select></label>
        <label class="block">Begin at <select id="start"><option value="best">the corner with the least travel</option>{string.Concat(Enum.GetValues<BlockCorner>().Select(c => $"<option value=\"{PlanWriter.Code(c)}\">{RouteWords.Corner(c)} corner</option>"))}</select></label>
        <label class="block">Middle lines <select id="middle"><option value="">as the pattern has them</option><option value="across">add lines across the diamonds</option><option value="upright">add lines up the diamonds</option><option value="none">leave the middle lines out</option></select></label>
        </fieldset>
        <details><summary>Thread and time</summary>
        {Slide("stitch", "Stitch length", 1, 6, 0.1, 2.3, "mm")}
        {Slide("thickness", "Thickness of the sandwich", 0.5, 6, 0.1, 1.5, "mm")}
        {Slide("rate", "Stitches a minute", 60, 1500, 10, 400, "")}
        {Slide("pace", "Your pace against plan", 0.3, 4, 0.05, 1, "times")}
        <p class="hint" id="assumed"></p></details>
        <details><summary>Paper for the template</summary>
        <label class="block">Paper <select id="paper"><option value="a4">A4</option><option value="letter">US Letter</option></select></label>
        <label class="check"><input type="checkbox" id="across"> paper laid across</label>
        <label class="check"><input type="checkbox" id="marks"> a square mark outside each corner</label>
        {Slide("weight", "Width of the printed lines", 0.1, 1.5, 0.05, 0.35, "mm")}
        <div class="fields"><label>The 100 mm bar on my print measures <input id="bar-measured" inputmode="decimal" size="6" maxlength="12" placeholder="97.3 mm"></label> <button type="button" class="button quiet small" id="bar-ask">What does that mean?</button></div>
        <p id="bar-words" aria-live="polite"></p></details>
        </form>
        <div>
        <p id="plan-trouble" class="trouble" role="alert" hidden></p>
        <h2 id="plan-title" class="first"></h2><p class="hint" id="plan-words"></p>
        <div class="stage-box light"><svg id="plan-picture" role="img" aria-label="The block and the path over it. The steps stand in words below."></svg></div>
        <p id="plan-now" class="now" aria-live="polite"></p>
        <div class="bar" role="group" aria-label="Play the path">
        <button type="button" class="button" id="play">Play</button>
        <button type="button" class="button quiet" id="back">Step back</button>
        <button type="button" class="button quiet" id="on">Step on</button>
        <button type="button" class="button quiet" id="whole-path">Whole path</button>
        <label>Speed <input type="range" id="speed" min="-3" max="3" step="0.5" value="0"></label>
        </div>
        <ul class="legend" id="plan-legend"></ul>
        <div class="two tight"><div><h3>In numbers</h3><dl id="plan-key"></dl></div>
        <div><h3>Other orders</h3><div class="scroll" tabindex="0" role="region" aria-label="Other orders"><table class="rows"><thead><tr><th scope="col">Order</th><th scope="col">Begin</th><th scope="col" class="num">Cuts</th><th scope="col" class="num">Turns</th><th scope="col" class="num">Ditch again</th></tr></thead><tbody id="plan-routes"></tbody></table></div></div></div>
        <details id="steps-box"><summary>The steps in words</summary><ol id="plan-steps" class="step-list"></ol></details>
        <h2>Keep it</h2>
        <p class="stack"><button type="button" class="button" id="measure-against">Measure a photo against this plan</button> <a class="button quiet plan-file" data-name="template.pdf" href="/plan">Marking template (PDF)</a> <a class="button quiet plan-file" data-name="summary.html" target="_blank" rel="noopener" href="/plan">One page to print</a></p>
        <details><summary>All files of the plan</summary><ul class="plain">{string.Concat(PlanFiles.Names.Select(f => $"<li><a class=\"plan-file\" data-name=\"{f.Name}\" href=\"/plan\"{(f.Name == "summary.html" ? " target=\"_blank\" rel=\"noopener\"" : "")}>{f.Name}</a> – {Layout.E(f.Words)}</li>"))}
        <li><a href="/corner-rule.pdf" id="corner-rule">corner-rule.pdf</a> – a rule to print and lay beside the block: size and squareness of the photo are checked with it</li></ul></details>
        <p><label class="button quiet small" for="plan-open">Open a plan.json to measure against</label><input id="plan-open" class="file" type="file" accept=".json,application/json"></p>
        {Outlook(workbench)}
        <ul class="hint cautions">{string.Concat(Cautions.All.Select(c => $"<li>{Layout.E(c)}</li>"))}</ul>
        </div>
        </div>
        """);

    private static string Slide(string id, string words, double least, double most, double step, double value, string unit) => string.Create(System.Globalization.CultureInfo.InvariantCulture,
        $"<label class=\"slide-row\"><span>{words}</span> <input type=\"range\" class=\"setting\" id=\"{id}\" min=\"{least}\" max=\"{most}\" step=\"{step}\" value=\"{value}\" data-unit=\"{unit}\"> <output for=\"{id}\">{value} {unit}</output></label>");

    private static string Outlook(Workbench workbench)
    {
        string blocks = string.Concat(ReportSources.Bench(workbench).Select(s => $"<option value=\"{s.Key}\">{Layout.E(s.Name)}</option>"));
        return $"""
            <details id="outlook"><summary>Which spacing suits me?</summary>
            <p>Whole blocks are sewn in simulation with your own accuracy: from a block you measured, or from two numbers of its report.</p>
            <div class="fields">
            <label>My accuracy <select id="outlook-from">{blocks}<option value="">two numbers:</option></select></label>
            <label class="two-numbers">wobble <input id="outlook-wobble" size="5" inputmode="decimal" value="0.3"> mm</label>
            <label class="two-numbers">crossing error <input id="outlook-crossing" size="5" inputmode="decimal" value="0.6"> mm</label>
            <label>Looked at from <input id="outlook-distance" size="5" inputmode="decimal" value="60"> cm</label>
            <button type="button" class="button quiet small" id="outlook-ask">Show</button></div>
            <p id="outlook-trouble" class="trouble" role="alert" hidden></p>
            <p id="outlook-words" class="hint" aria-live="polite"></p>
            <div class="scroll" tabindex="0" role="region" aria-label="How each spacing would look" id="outlook-box" hidden><table><thead><tr><th scope="col">Spacing</th><th scope="col" class="num">Crossings</th><th scope="col" class="num">Look closed</th><th scope="col" class="num">Fair</th><th scope="col" class="num">Gaps differ by</th><th scope="col">Verdict</th></tr></thead><tbody id="outlook-rows"></tbody></table></div>
            <p class="hint">A simulation of measured errors, not a promise.</p></details>
            """;
    }
}
