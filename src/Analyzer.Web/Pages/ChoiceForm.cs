using Analyzer.Web.Blocks;
using Analyzer.Web.Plans;

namespace Analyzer.Web.Pages;

/// <summary>The fields for size and pattern, the same on every page that needs them.</summary>
internal static class ChoiceForm
{
    private static readonly (string Name, string Words)[] Patterns =
    [
        ("square", "Square: across and down"),
        ("diamond", "Diamond: on point, 45°"),
        ("diamond60", "Steep diamond: on point, 60°"),
        ("triangle", "Triangle: across and two at 60°"),
        ("triangle45", "Triangle: across and two at 45°"),
        ("lines", "Another: tell each family of lines"),
    ];

    /// <summary>The choice stands in data attributes; the page's script fills the fields from it.</summary>
    /// <param name="plan">A plan that can be chosen besides the patterns, or null.</param>
    public static string Write(string sizeText, string gridText, KeptPlan? plan = null, string legend = "Your block") => $"""
        <fieldset id="choice" data-size="{Layout.E(sizeText)}" data-grid="{Layout.E(gridText)}">
        <legend>{Layout.E(legend)}</legend>
        <label class="block">Pattern <select id="pattern">{string.Concat(Patterns.Select(p => $"<option value=\"{p.Name}\">{Layout.E(p.Words)}</option>"))}{(plan is null ? "" : $"<option value=\"plan\" data-plan=\"{plan.Id}\">Your plan: {Layout.E(plan.Name)}</option>")}</select></label>
        <div id="size-fields">
        <div class="fields">
        <label>Width <input id="width" inputmode="decimal" autocomplete="off" size="6" maxlength="12" required></label>
        <label>Height <input id="height" inputmode="decimal" autocomplete="off" size="6" maxlength="12" required></label>
        <label>Unit <select id="unit"><option value="in">inches</option><option value="cm">cm</option><option value="mm">mm</option></select></label>
        </div>
        <p class="hint">The finished size: from stitched ditch to stitched ditch.</p>
        <div class="presets" id="size-presets" role="group" aria-label="Common sizes"></div>
        </div>
        <div id="spacing-fields">
        <div class="fields"><label>Lines lie apart by <input id="spacing" inputmode="decimal" autocomplete="off" size="6" maxlength="12" required></label> <span id="spacing-unit" class="unit"></span></div>
        <div class="presets" id="spacing-presets" role="group" aria-label="Common spacings"></div>
        </div>
        <div id="own-fields" hidden><label class="block">Families of lines, one in each row <textarea id="own-lines" rows="3" maxlength="500" spellcheck="false" aria-describedby="own-hint">60deg 1in 0in,8in</textarea></label>
        <p class="hint" id="own-hint">Angle (counter-clockwise from across), spacing, and a point of one line: how far from the left, how far from the top. For example 60deg 1in 0in,8in.</p></div>
        <p id="choice-trouble" class="trouble" role="alert" hidden></p>
        </fieldset>
        """;

    public static string Write(BlockChoice choice) => Write(choice.SizeText, choice.GridText, choice.Plan);
}
