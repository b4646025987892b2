namespace Analyzer.Web.Blocks;

/// <summary>The stages of the work in plain words, in their order.</summary>
internal static class StageWords
{
    public static IReadOnlyList<(string Stage, string Words)> Opening { get; } =
    [
        ("reading", "Reading the photo"),
        ("corners", "Looking for the four corners of the block"),
    ];

    public static IReadOnlyList<(string Stage, string Words)> Measuring { get; } =
    [
        ("reading", "Reading the photo"),
        ("corners", "Settling the corners"),
        ("rectify", "Turning the block flat and checking the photo"),
        ("evidence", "Looking for thread"),
        ("lines", "Finding the stitched lines"),
        ("thread colour", "Learning the colour of the thread"),
        ("traces", "Following each line"),
        ("marks", "Looking for drawn marks beside the thread"),
        ("deviations", "Comparing with the lines you meant to stitch"),
    ];
}
