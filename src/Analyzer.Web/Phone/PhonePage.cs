using Analyzer.Web.Pages;

namespace Analyzer.Web.Phone;

/// <summary>What the phone shows: one button for a photo, and what became of it.</summary>
internal static class PhonePage
{
    public static string Write(string code, long largest) => $"""
        <!doctype html>
        <html lang="en">
        <head>
        <meta charset="utf-8">
        <meta name="viewport" content="width=device-width, initial-scale=1">
        <title>Send a photo – Stitch Accuracy Analyzer</title>
        <link rel="icon" href="/assets/icon.svg" type="image/svg+xml">
        <link rel="stylesheet" href="/assets/workbench.css">
        <script type="module" src="/assets/phone.js"></script>
        </head>
        <body>
        <header class="top"><span class="name">Stitch Accuracy Analyzer</span></header>
        <main id="main" data-code="{code}" data-largest="{largest}">
        <h1>Send a photo to your computer</h1>
        <p class="stack"><label class="button" for="camera">Take a photo</label><input id="camera" class="file" type="file" accept="image/*" capture="environment"> <label class="button quiet" for="gallery">Choose a photo</label><input id="gallery" class="file" type="file" accept="image/*,.heic,.heif"></p>
        <div id="sending" hidden><label for="sent">Sending</label> <progress id="sent" max="1" value="0"></progress> <button type="button" id="stop-sending" class="button quiet small">Stop</button></div>
        <p id="said" class="big" aria-live="polite"></p>
        <p id="trouble" class="trouble" role="alert" hidden></p>
        <h2>A photo that measures well</h2>
        <ul class="plain"><li>Stand square above the block, half a metre or more away, the whole block and a margin in the picture.</li><li>Light from the side; no flash, no shadow of yours across it.</li><li>The block flat and unstretched. Tap it to focus and hold still.</li></ul>
        <p class="hint">The photo goes straight to the computer that showed the code, in your own network and not encrypted. It goes nowhere else.</p>
        </main>
        </body>
        </html>
        """;
}
