using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting;

/// <summary>Whether this machine has a font for the lettering of pictures.</summary>
public static class MachineFonts
{
    public static bool CanDrawLetters => OverlayFont.Typeface is not null;
}
