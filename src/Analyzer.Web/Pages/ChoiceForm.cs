using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>The fields for size and pattern, the same on the start page and beside the corners.</summary>
internal static class ChoiceForm
{
    private static readonly (string Name, string Words)[] Patterns =
    [
        ("square", "Square: across and down"),
        ("diamond", "Diamond: on point, 45°"),
        ("diamond60", "Steep diamond: on point, 60°"),
        ("triangle", "Triangle: across and two at 60°"),
        ("triangle45", "Triangle: across and two at 45°"),
    ];

    /// <summary>The choice stands in data attributes; the page's script fills the fields from it.</summary>
    public static string Write(string sizeText, string gridText) => $"""
        <fieldset id="choice" data-size="{Layout.E(sizeText)}" data-grid="{Layout.E(gridText)}">
        <legend>Your block</legend>
        <div class="fields">
        <label>Width <input id="width" inputmode="decimal" autocomplete="off" size="6" maxlength="12" required></label>
        <label>Height <input id="height" inputmode="decimal" autocomplete="off" size="6" maxlength="12" required></label>
        <label>Unit <select id="unit"><option value="in">inches</option><option value="cm">cm</option><option value="mm">mm</option></select></label>
        </div>
        <p class="hint">The finished size: from stitched ditch to stitched ditch.</p>
        <div class="presets" id="size-presets" role="group" aria-label="Common sizes"></div>
        <label class="block">Pattern <select id="pattern">{string.Concat(Patterns.Select(p => $"<option value=\"{p.Name}\">{Layout.E(p.Words)}</option>"))}</select></label>
        <div class="fields"><label>Lines lie apart by <input id="spacing" inputmode="decimal" autocomplete="off" size="6" maxlength="12" required></label> <span id="spacing-unit" class="unit"></span></div>
        <div class="presets" id="spacing-presets" role="group" aria-label="Common spacings"></div>
        <p id="choice-trouble" class="trouble" role="alert" hidden></p>
        </fieldset>
        """;

    public static string Write(BlockChoice choice) => Write(choice.SizeText, choice.GridText);
}
