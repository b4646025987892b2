using System.Text.Json;
using Analyzer.Core.Geometry;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>The photo with the corners as found: to be looked at, moved where they are wrong, and measured with.</summary>
internal static class CornersPage
{
    private static readonly string[] Names = ["Top left", "Top right", "Bottom right", "Bottom left"];

    public static string Write(BlockJob job, string token)
    {
        FoundCorners found = job.Found!;
        PhotoPoint[] start = job.Marked ?? found.Points ?? Guess(job);
        string corners = JsonSerializer.Serialize(start.Select(p => new[] { Math.Round(p.X, 2), Math.Round(p.Y, 2) }));
        string fields = string.Concat(Names.Select((name, i) => $"""
            <tr><th scope="row">{name}</th><td><input class="place" data-corner="{i}" data-axis="0" inputmode="decimal" size="7" aria-label="{name}, across, pixels"></td><td><input class="place" data-corner="{i}" data-axis="1" inputmode="decimal" size="7" aria-label="{name}, down, pixels"></td></tr>
            """));
        return Layout.Page("Corners", 1, token, "corners.js", $"""
            <h1>Is this your block?</h1>
            <p>The four marks belong on the corners of the stitched ditch, and the drawn lines should run along your stitching. Drag a mark to move it; with the keyboard, choose a mark with Tab and use the arrow keys (with Shift: a tenth of a pixel).</p>
            {Confidence(found)}
            {(job.Trouble is { } trouble ? $"<p class=\"note caution\">{Layout.E(trouble)}</p>" : "")}
            <div class="bench" id="bench" data-id="{job.Id}" data-width="{job.WidthPx}" data-height="{job.HeightPx}" data-corners="{Layout.E(corners)}" data-found="{(found.Points is null ? "no" : job.Marked is null ? found.Confidence : "marked")}">
            <div class="stage-box">
            <svg id="stage" aria-label="Photo with the four corners"></svg>
            <svg id="lens" aria-hidden="true" hidden></svg>
            <div class="stage-tools" role="group" aria-label="View"><button type="button" class="button quiet small" id="closer" aria-label="Closer">+</button><button type="button" class="button quiet small" id="wider" aria-label="Wider">−</button><button type="button" class="button quiet small" id="whole">Whole photo</button><button type="button" class="button quiet small" id="snap">Draw to the seam</button><button type="button" class="button quiet small" id="turn">Turn by a quarter</button><button type="button" class="button quiet small" id="undo" disabled>Undo</button></div>
            </div>
            <div class="card side">
            <p id="snap-words" class="hint first" aria-live="polite"></p>
            <p class="stack first"><button type="button" class="button" id="measure">Measure</button> <button type="button" class="button quiet" id="find">Find the corners again</button></p>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            <label class="check"><input type="checkbox" id="exact"> Use my marks exactly as they are <span class="hint">(otherwise marks that you moved are drawn to a clear seam nearby)</span></label>
            {ChoiceForm.Write(job.Choice)}
            <details><summary>Corners in numbers</summary>
            <table class="numbers"><thead><tr><th scope="col">Corner</th><th scope="col">across, px</th><th scope="col">down, px</th></tr></thead><tbody>{fields}</tbody></table></details>
            <p id="said" class="visually-hidden" aria-live="polite"></p>
            <p><button type="button" class="link" id="remove">Remove this photo</button></p>
            </div>
            </div>
            """, ["/", null, job.Outcome is null ? null : $"/block/{job.Id}/result"]);
    }

    private static string Confidence(FoundCorners found)
    {
        string why = found.Doubts.Count == 0 ? "" : " " + string.Join("; ", found.Doubts.Select(d => d.TrimEnd('.'))) + ".";
        return found switch
        {
            { Points: null } => $"<p class=\"note caution\"><strong>No block found.</strong>{Layout.E(why)}</p>",
            { Confidence: "high" } => "<p class=\"note good\"><strong>The program is sure of these corners.</strong> A glance at each is still worth it.</p>",
            { Confidence: "medium" } => $"<p class=\"note caution\"><strong>The program is fairly sure of these corners.</strong> Please check each one.{Layout.E(Capital(why))}</p>",
            { Confidence: "low" } => $"<p class=\"note caution\"><strong>The program is not sure of these corners.</strong> Please move each mark to its place.{Layout.E(Capital(why))}</p>",
            _ => "",
        };
    }

    private static string Capital(string why) => why.Length < 2 ? why : " " + char.ToUpperInvariant(why[1]) + why[2..];

    /// <summary>Marks to begin with where nothing was found: a fifth in from the edges.</summary>
    private static PhotoPoint[] Guess(BlockJob job)
    {
        double w = job.WidthPx, h = job.HeightPx;
        return [new(0.2 * w, 0.2 * h), new(0.8 * w, 0.2 * h), new(0.8 * w, 0.8 * h), new(0.2 * w, 0.8 * h)];
    }
}
