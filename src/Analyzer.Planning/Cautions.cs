namespace Analyzer.Planning;

/// <summary>Short cautions for marking and sewing. Common practice, no source; the makers' own instructions come first.</summary>
public static class Cautions
{
    public static IReadOnlyList<string> All { get; } =
    [
        "Try every marker on a scrap of the same cloth first, and wash it out; an iron can set some inks for good, and marks that vanish with heat may come back in the cold. Follow the marker's own instructions.",
        "With a ruler, use the foot made for it, and keep ruler and fingers out of the needle's way; set the speed low. Follow your machine's manual.",
        "Cut away from yourself and close the rotary blade each time you lay it down. Turn the iron off when you leave it.",
        "Wear eye protection if a needle may break, and rest hands, shoulders and eyes often on a long block.",
    ];
}
