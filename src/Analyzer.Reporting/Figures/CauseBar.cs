using Analyzer.Core.Report;

namespace Analyzer.Reporting.Figures;

/// <summary>One cause's share as a bar from 0 to 100 percent, its interval as a whisker.</summary>
internal static class CauseBar
{
    private const double Width = 300, Height = 22;

    public static string Draw(CauseShare cause)
    {
        double x = At(cause.Percent), low = At(cause.LowPercent), high = At(cause.HighPercent);
        return $"<svg class=\"cause\" aria-hidden=\"true\" viewBox=\"0 0 {Svg.N(Width)} {Svg.N(Height)}\"><rect class=\"track\" y=\"4\" width=\"{Svg.N(Width)}\" height=\"14\"/><rect class=\"count\" y=\"4\" width=\"{Svg.N(x)}\" height=\"14\"/>" +
            $"<path class=\"whisker\" stroke-width=\"1.6\" d=\"M{Svg.N(low)} 11H{Svg.N(high)}M{Svg.N(low)} 6v10M{Svg.N(high)} 6v10\"/></svg>";
    }

    private static double At(double percent) => 1 + (Width - 2) * Math.Clamp(percent, 0, 100) / 100;
}
