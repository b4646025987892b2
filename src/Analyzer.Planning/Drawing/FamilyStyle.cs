namespace Analyzer.Planning.Drawing;

/// <summary>How each family is drawn: colour and dashes together, so that either alone is enough.</summary>
/// <remarks>Dark, colour-blind-safe hues.</remarks>
internal sealed record FamilyStyle(string Color, string Name, params double[] Dash)
{
    private static readonly FamilyStyle[] All =
    [
        new("#1f5a94", "solid"),
        new("#b3541e", "dashed", 3.2, 1.3),
        new("#2f7d5b", "dash and dot", 3.6, 1.1, 0.5, 1.1),
        new("#7b4b94", "short dashes", 1.4, 1.0),
        new("#8a6d00", "dots", 0.5, 0.9),
        new("#44505c", "dash and two dots", 3.6, 1.0, 0.5, 1.0, 0.5, 1.0),
    ];

    public const string Ditch = "#2b2b2b";

    public const string Again = "#8c8c8c";

    public static FamilyStyle Of(int family) => All[family % All.Length];

    public Pen Pen(double widthMm, double dashScale = 1) => new(Color, widthMm, [.. Dash.Select(d => d * dashScale)]);
}
