using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Tracing;

/// <summary>One thread stitches one block: a line that is nothing like the others is not that thread.</summary>
internal static class Consistency
{
    /// <summary>Below this share of the block's usual contrast and of its usual dashes a line is a mark, a shadow or print.</summary>
    private const double StrangerContrast = 0.3, StrangerDash = 0.55;

    public static TracedLine?[] WithoutStrangers(TracedLine?[] lines)
    {
        TracedLine[] seen = [.. lines.OfType<TracedLine>().Where(l => l.Coverage > 0.5 && double.IsFinite(l.Contrast))];
        if (seen.Length < 4) return lines;
        double contrast = UpperMedian.Of(seen.Select(l => l.Contrast)), ratio = UpperMedian.Of(seen.Select(l => l.DashRatio));
        double dash = UpperMedian.Of(seen.Where(l => l.Line.LengthMm > 40).Select(l => l.DashCorrelation));
        return [.. lines.Select(l => l is not null && IsStranger(l, contrast, ratio, dash) ? null : l)];
    }

    private static bool IsStranger(TracedLine line, double contrast, double ratio, double dash)
    {
        if (line.Contrast < StrangerContrast * contrast && line.DashRatio < StrangerDash * ratio) return true;
        // Where the block's stitches show plainly, a long line without them is none.
        return dash > 0.35 && line.Line.LengthMm > 45 && line.DashCorrelation < 0.08 && line.DashRatio < 0.8 * ratio;
    }
}
