using Analyzer.Core.Report;

namespace Analyzer.Reporting.Html;

/// <summary>Glossary, settings and the standing texts.</summary>
internal static class TextSections
{
    /// <summary>Common practice, no source.</summary>
    public const string Safety =
        "Caution: keep fingers and rulers out of the needle's way and stop the machine before you measure or mark on it. Close the rotary cutter when you lay it down; heat can set some marking inks for good. Rest hands, shoulders and eyes often. Your machine's manual and local rules come first.";

    public static IReadOnlyList<string> PhotoTips { get; } =
    [
        "Lay the block flat and smooth, not stretched, on a table of another colour.",
        "Hold the phone level, straight above the middle of the block, far enough away that the whole block with a margin is in the picture; use the 2x camera where there is one.",
        "Let even light come from the side, such as a window; no flash. The little shadows make the stitching stand out.",
        "Tap the block to focus, hold still, and use the original file, not one sent through a chat.",
        "Say the right size and grid: the finished size is measured from stitched ditch to stitched ditch.",
    ];

    private static readonly (string Word, string Meaning)[] Words =
    [
        ("Intended line", "The line of the grid you meant to stitch, placed by the block's four corners."),
        ("Deviation", "Distance of the thread's centre from its intended line, with a sign for the side."),
        ("Offset", "How far the straight line that fits the stitching best lies beside the intended line, at mid-length."),
        ("Tilt", "The angle between those two lines."),
        ("Wobble", "How far the stitching swings about its own best straight line: peak to valley, and r.m.s. (root mean square, a typical size). Straightness STRt and STRq of ISO 12780-1."),
        ("Crossing error", "Distance between where lines cross and where they should."),
        ("Miss triangle", "Where three lines should meet in one point: the largest distance between two of their three crossings."),
        ("u, and ± 2u", "u is the standard uncertainty of a value (JCGM 100). Within ± 2u (k = 2) the true value lies about 95 times in 100."),
        ("Ditch", "The seam around the block; its four corners hold the ruler for everything here."),
    ];

    public static void Glossary(HtmlText html)
    {
        html.Raw("<section>\n<h2>Words used here</h2>\n<dl>\n");
        foreach ((string word, string meaning) in Words) html.Element("dt", word).Element("dd", meaning);
        html.Raw("</dl>\n</section>\n");
    }

    public static void Repeat(HtmlText html, AccuracyReport report, ReportOptions options, UnitFormat units)
    {
        html.Raw("<section>\n<h2>How this was measured, and how to repeat it</h2>\n");
        html.Raw("<p>The same photo, settings and software version give the same numbers. The numbers are in lines.csv, intersections.csv and report.json beside this page, in millimetres.</p>\n");
        if (options.RepeatCommand is { Length: > 0 } command) html.Element("pre", command);
        html.Raw("<dl>\n");
        Pair(html, "Software", "Stitch Accuracy Analyzer " + report.Software.Version);
        if (report.Photo is { } photo)
        {
            Pair(html, "Photo", $"{photo.File}, {photo.WidthPx} by {photo.HeightPx} pixels");
            Pair(html, "Photo's fingerprint", "SHA-256 " + photo.Sha256);
        }
        if (report.Block is { } block)
        {
            Pair(html, "Block", $"{units.Long(block.WidthMm)} by {units.Long(block.HeightMm)}, {UnitFormat.Text(block.PixelsPerMm, "0.0")} pixels per millimetre");
            Pair(html, "Corners", $"{(block.CornerSource == "given" ? "given" : block.CornerMarks is { Count: > 0 } marks ? $"found by the template's {marks.Count} corner marks" : "found")}, in pixels: {string.Join("; ", block.CornersPx.Select(c => $"{UnitFormat.Text(c[0], "0.0")}, {UnitFormat.Text(c[1], "0.0")}"))} (u = {UnitFormat.Text(block.CornerUncertaintyPx, "0.0")} pixels)");
        }
        foreach (FamilyInfo family in report.Grid?.Families ?? [])
            Pair(html, FamilyWords.Name(report, family.Family), $"{UnitFormat.Text(family.AngleDeg, "0.###")} degrees, every {units.Long(family.SpacingMm)}");
        foreach ((string name, string value) in report.Settings) Pair(html, name, value);
        if (report.StageTimes.Count > 0)
            Pair(html, "Time taken", string.Join(", ", report.StageTimes.Select(s => $"{s.Stage} {UnitFormat.Text(s.Milliseconds, "0")} ms")));
        html.Raw("</dl>\n</section>\n");
    }

    private static void Pair(HtmlText html, string name, string value) => html.Element("dt", name).Element("dd", value);
}
