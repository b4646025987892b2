using SkiaSharp;

namespace Analyzer.Reporting.Pictures;

/// <summary>A typeface that can draw letters, or null on a machine without any font.</summary>
internal static class OverlayFont
{
    private static readonly Lazy<SKTypeface?> Found = new(Find);

    public static SKTypeface? Typeface => Found.Value;

    private static SKTypeface? Find()
    {
        foreach (string family in new[] { "Segoe UI", "Helvetica Neue", "DejaVu Sans", "Liberation Sans", "Arial" })
            if (SKTypeface.FromFamilyName(family) is { } named && named.FamilyName == family && HasLetters(named)) return named;
        return HasLetters(SKTypeface.Default) ? SKTypeface.Default : null;
    }

    private static bool HasLetters(SKTypeface face) => face.GetGlyphs("A1±").All(g => g != 0);
}
