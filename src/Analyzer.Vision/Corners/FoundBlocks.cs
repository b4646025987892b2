using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>Turns a fit into the answer, with the doubts that the fit itself raises.</summary>
internal static class FoundBlocks
{
    private static readonly string[] SideNames = ["top", "right", "bottom", "left"];

    /// <summary>Below this share or strength a side counts as not properly seen.</summary>
    public const double LeastSeen = 0.5, LeastStrength = 0.6;

    public static FoundBlock From(CornerFit fit, BlockSize size, int quarterTurns, IReadOnlyList<BlockCorners> candidates, IReadOnlyList<string> doubts)
    {
        var all = new List<string>(doubts);
        int unseen = 0, weak = 0;
        var sides = new List<SideReading>();
        for (int k = 0; k < 4; k++)
        {
            SideCourse? course = fit.Sides[k];
            if (course is null || course.Seen < 0.3 || course.Strength < LeastStrength / 2)
            {
                unseen++;
                all.Add($"the {SideNames[k]} side of the block shows no clear seam");
            }
            else if (course.Seen < LeastSeen || course.Strength < LeastStrength)
            {
                weak++;
                all.Add($"the seam of the {SideNames[k]} side is faint");
            }
            sides.Add(course is null
                ? new SideReading(SideNames[k], double.NaN, double.NaN, double.NaN, 0)
                : new SideReading(SideNames[k], course.BowMm, Math.Sqrt(course.Covariance[2, 2]), course.ScatterMm, course.Seen));
        }
        CornerConfidence confidence = unseen > 0 || weak > 1 ? CornerConfidence.Low : weak > 0 ? CornerConfidence.Medium : CornerConfidence.High;
        double trace = 0;
        for (int i = 0; i < 8; i++) trace += fit.CovariancePx[i, i];
        return new FoundBlock
        {
            Corners = BlockCorners.FromArray(fit.Corners, Math.Sqrt(trace / 8)),
            CovariancePx = fit.CovariancePx,
            Confidence = confidence,
            Doubts = all,
            GraveDoubts = confidence == CornerConfidence.Low ? all : [],
            Sides = sides,
            QuarterTurns = quarterTurns,
            Candidates = candidates,
        };
    }
}
