using Analyzer.Core.Geometry;

namespace Analyzer.Practice.Comparing;

/// <summary>What wrong corners do: the map from where a point of the block is to where it seems to be.</summary>
internal static class CornerErrors
{
    /// <param name="shiftsMm">x and y of the top-left, top-right, bottom-right and bottom-left corner, mm.</param>
    public static Homography Shifted(double widthMm, double heightMm, IReadOnlyList<double> shiftsMm)
    {
        (double X, double Y)[] corners = [(0, 0), (widthMm, 0), (widthMm, heightMm), (0, heightMm)];
        return Homography.FromFourPoints(corners, [.. corners.Select((c, i) => (c.X + shiftsMm[2 * i], c.Y + shiftsMm[2 * i + 1]))]);
    }
}
