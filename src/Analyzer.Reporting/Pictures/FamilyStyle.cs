namespace Analyzer.Reporting.Pictures;

/// <summary>How one family of lines is drawn: a colour, a dash for the intended line, a marker on the stitched line; never colour alone.</summary>
/// <param name="DashMm">Dash and gap lengths at a block 200 mm wide, mm.</param>
internal sealed record FamilyStyle(string Colour, double[] DashMm, string DashWord, FamilyMarker Marker, string MarkerWord)
{
    /// <summary>Against white every colour has a contrast of at least 4.5:1 (WCAG 2.2, 1.4.3).</summary>
    public static IReadOnlyList<FamilyStyle> All { get; } =
    [
        new("#0b4f9e", [4, 2], "long dashes", FamilyMarker.None, "no marks"),
        new("#a23b00", [0.5, 1.2], "dots", FamilyMarker.Disc, "round marks"),
        new("#6a1f8f", [4, 1.3, 0.9, 1.3], "dash and dot", FamilyMarker.Square, "square marks"),
        new("#0d6241", [2, 2], "short dashes", FamilyMarker.Triangle, "three-cornered marks"),
        new("#8a1538", [6, 1.2, 0.9, 1.2, 0.9, 1.2], "dash and two dots", FamilyMarker.Ring, "ring marks"),
        new("#3b4a54", [1.5, 3], "wide dots", FamilyMarker.Bar, "cross bars"),
    ];

    public static FamilyStyle Of(int family) => All[((family % All.Count) + All.Count) % All.Count];
}

internal enum FamilyMarker
{
    None,
    Disc,
    Square,
    Triangle,
    Ring,
    Bar,
}
