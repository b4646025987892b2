using Analyzer.Web.Blocks;

namespace Analyzer.Web.Pages;

/// <summary>The fields of a practice session: under a result for that block, on the log page for minutes alone.</summary>
internal static class SessionForm
{
    public static string Write(BlockJob? job, IReadOnlyList<string> people) => $"""
        <form id="session-form" class="session" data-block="{job?.Id}" novalidate>
        <div class="fields">
        <label>Who <input id="session-who" list="people" maxlength="40" size="12" autocomplete="off" required value="{Layout.E(people.Count == 1 ? people[0] : "")}"></label><datalist id="people">{string.Concat(people.Select(p => $"<option value=\"{Layout.E(p)}\"></option>"))}</datalist>
        <label>Date <input id="session-date" type="date" value="{Layout.E(TakenOn(job))}"></label>
        <label>Minutes practised <input id="session-minutes" inputmode="decimal" size="5" maxlength="8"></label>
        {(job is null ? "" : "<label>of these, this block <input id=\"session-block-minutes\" inputmode=\"decimal\" size=\"5\" maxlength=\"8\"></label>")}
        </div>
        <details><summary>Machine, foot, thread, fabric, note</summary><div class="fields">
        {Field("machine", "Machine")}{Field("foot", "Foot")}{Field("thread", "Thread")}{Field("fabric", "Fabric")}{Field("note", "Note")}
        </div></details>
        <p class="stack"><button type="submit" class="button">Save in the log</button> <button type="button" class="button quiet" id="session-again" hidden>Save it once more all the same</button></p>
        <p id="session-said" aria-live="polite"></p>
        <p class="hint">A nickname is enough; nothing else about a person is kept.</p>
        </form>
        """;

    private static string Field(string id, string label) => $"<label>{label} <input id=\"session-{id}\" maxlength=\"200\" size=\"14\"></label>";

    /// <summary>The photo's own date where it tells one, else empty: today is filled in by the script.</summary>
    private static string TakenOn(BlockJob? job) =>
        job?.Outcome?.Report.Photo?.TakenOn is { Length: >= 10 } taken ? taken[..10].Replace(':', '-') : "";
}
