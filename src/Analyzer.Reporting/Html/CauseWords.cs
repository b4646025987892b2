namespace Analyzer.Reporting.Html;

/// <summary>Plain names of the causes, and what to try next. Advice is common practice, no source.</summary>
internal static class CauseWords
{
    public static string Name(string cause) => cause switch
    {
        "distortion" => "cloth out of shape",
        "placement" => "lines set beside their marks",
        "rotation" => "lines set at a slight turn",
        "bow" => "bowed lines",
        "wobble-long" => "slow drifting",
        "wobble-middle" => "sway while steering",
        "wobble-short" => "quick jitters",
        "aim" => "kinks at the crossings",
        _ => cause,
    };

    public static string? Advice(string cause) => cause switch
    {
        "distortion" => "Press the block, baste it closer, and stitch the long lines from the middle outward so that the cloth is not pushed to one side. Photograph the block lying flat and unstretched.",
        "placement" => "Before each line, sink the needle at the start and check the gap between foot and mark at both ends; then stitch three lines and measure the gap again.",
        "rotation" => "Line up the far end first, then the near end, and look at both once more before the first stitch.",
        "bow" => "Press hardest in the middle of the ruler or with both palms beside the line, and stop with the needle down before the hands have to stretch.",
        "wobble-long" => "Stitch in shorter stretches: stop with the needle down, move the hands, go on. Clean hands or gloves with grip help.",
        "wobble-middle" => "Look a little ahead of the needle along the mark and go slower; let the arms steer, not the fingers.",
        "wobble-short" => "Keep an even pace, and try the foot a touch higher and a fresh needle on a scrap.",
        "aim" => "Slow down two stitches before a crossing and stitch straight through it; do not swerve to hit the X.",
        _ => null,
    };
}
