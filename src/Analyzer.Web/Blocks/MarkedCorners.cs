using Analyzer.Core.Geometry;

namespace Analyzer.Web.Blocks;

/// <summary>Corners set by hand, checked: four, inside the photo, making a block that is not crossed or bent inward.</summary>
internal static class MarkedCorners
{
    /// <summary>Corners nearer to each other than this are one place, px.</summary>
    private const double SamePlacePx = 10;

    public static PhotoPoint[] Check(double[][] corners, int widthPx, int heightPx)
    {
        if (corners.Length != 4 || corners.Any(c => c is not { Length: 2 } || !double.IsFinite(c[0]) || !double.IsFinite(c[1])))
            throw new FormatException("Four corners are needed, each with its place in the photo.");
        PhotoPoint[] p = [.. corners.Select(c => new PhotoPoint(c[0], c[1]))];
        if (p.Any(c => c.X < -0.5 || c.Y < -0.5 || c.X > widthPx - 0.5 || c.Y > heightPx - 0.5))
            throw new FormatException("A corner lies outside the photo; move its mark into the picture.");
        for (int i = 0; i < 4; i++)
        {
            PhotoPoint a = p[i], b = p[(i + 1) % 4], c = p[(i + 2) % 4];
            if (a.DistanceTo(b) < SamePlacePx || a.DistanceTo(c) < SamePlacePx) throw new FormatException("Two corners lie in the same place; move them apart.");
            // y points down: clockwise as seen means a positive turn at every corner.
            if ((b.X - a.X) * (c.Y - b.Y) - (b.Y - a.Y) * (c.X - b.X) <= 0)
                throw new FormatException("The marks do not go round the block in their order: top left, top right, bottom right, bottom left.");
        }
        return p;
    }
}
