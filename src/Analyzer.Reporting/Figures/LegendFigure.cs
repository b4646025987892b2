using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting.Figures;

/// <summary>A sample of a family's lines for legends and tables: dashed intended above, solid stitched with its marker below.</summary>
internal static class LegendFigure
{
    public static string Swatch(int family)
    {
        FamilyStyle style = FamilyStyle.Of(family);
        string dash = string.Join(' ', style.DashMm.Select(d => Svg.N(d * 2.2)));
        return $"<svg class=\"swatch\" aria-hidden=\"true\" viewBox=\"0 0 56 20\"><path class=\"intended\" stroke-width=\"1.2\" stroke-dasharray=\"{dash}\" d=\"M2 5H54\"/><path class=\"f{family % FamilyStyle.All.Count}\" stroke-width=\"2.4\" d=\"M2 14H54\"/>{BlockFigure.Marker(style, 28, 14, 3.6)}</svg>";
    }
}
