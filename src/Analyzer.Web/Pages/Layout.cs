using System.Text.Encodings.Web;

namespace Analyzer.Web.Pages;

/// <summary>What every page has: head, the five kinds of work, steps of a measurement, foot.</summary>
internal static class Layout
{
    private static readonly string[] Steps = ["Photo", "Corners", "Result"];

    private static readonly (string Name, string Path)[] Areas = [("Measure", "/"), ("Plan", "/plan"), ("Compare", "/compare"), ("Log", "/log"), ("Class", "/class")];

    /// <summary>Text made safe for any place in the page, attributes included.</summary>
    public static string E(string? text) => HtmlEncoder.Default.Encode(text ?? "");

    /// <summary>A page of a measurement, with its three steps.</summary>
    /// <param name="step">0 photo, 1 corners, 2 result, -1 none.</param>
    /// <param name="script">The page's own module, or null.</param>
    /// <param name="links">Where each step leads, null where it cannot be reached yet.</param>
    public static string Page(string title, int step, string token, string? script, string body, string?[]? links = null)
    {
        IEnumerable<string> steps = Steps.Select((name, i) =>
        {
            string label = $"<span class=\"step-number\">{i + 1}</span> {name}";
            string inner = i != step && links?[i] is { } link ? $"<a href=\"{E(link)}\">{label}</a>" : $"<span>{label}</span>";
            return $"<li{(i == step ? " aria-current=\"step\"" : "")}>{inner}</li>";
        });
        string bar = step < 0 ? "" : $"<nav class=\"steps-bar\" aria-label=\"Steps\"><ol class=\"steps\">{string.Concat(steps)}</ol></nav>";
        return Frame(title, step < 0 ? "" : "Measure", token, script, bar, body);
    }

    /// <summary>A page of the other kinds of work.</summary>
    /// <param name="area">Plan, Compare, Log or Class.</param>
    public static string Area(string title, string area, string token, string? script, string body) => Frame(title, area, token, script, "", body);

    private static string Frame(string title, string area, string token, string? script, string bar, string body)
    {
        string areas = string.Concat(Areas.Select(a => $"<li><a href=\"{a.Path}\"{(a.Name == area ? " aria-current=\"true\"" : "")}>{a.Name}</a></li>"));
        return $"""
            <!doctype html>
            <html lang="en">
            <head>
            <meta charset="utf-8">
            <meta name="viewport" content="width=device-width, initial-scale=1">
            <meta name="workbench-token" content="{E(token)}">
            <title>{E(title)} – Stitch Accuracy Analyzer</title>
            <link rel="icon" href="/assets/icon.svg" type="image/svg+xml">
            <link rel="stylesheet" href="/assets/workbench.css">
            {(script is null ? "" : $"<script type=\"module\" src=\"/assets/{script}\"></script>")}
            </head>
            <body>
            <a class="skip" href="#main">Skip to the page</a>
            <header class="top"><a class="name" href="/">Stitch Accuracy Analyzer</a>
            <nav aria-label="Work"><ul class="areas">{areas}</ul></nav></header>
            {bar}
            <main id="main" tabindex="-1">
            <noscript><p class="note caution">The workbench needs JavaScript, which is turned off in this browser.</p></noscript>
            {body}
            </main>
            <footer><p>Photos stay on this computer and are removed when the workbench is closed; should it end unexpectedly, what is not yet measured is offered again for a day. Nothing is sent anywhere.</p></footer>
            </body>
            </html>
            """;
    }
}

/// <summary>One sentence and the way back.</summary>
internal static class PlainPage
{
    public static string Write(string sentence) =>
        Layout.Page("Not possible", -1, "", null, $"<h1>That did not work</h1><p>{Layout.E(sentence)}</p><p><a class=\"button\" href=\"/\">Back to the start</a></p>");
}
