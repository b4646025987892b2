namespace Analyzer.Core.Geometry;

/// <summary>The four corners of the stitched ditch in the photo, as seen upright, each with its standard uncertainty per coordinate in pixels.</summary>
/// <param name="TopLeft">Top-left corner, px.</param>
/// <param name="TopRight">Top-right corner, px.</param>
/// <param name="BottomRight">Bottom-right corner, px.</param>
/// <param name="BottomLeft">Bottom-left corner, px.</param>
/// <param name="UncertaintyPx">Standard uncertainty of each coordinate, px.</param>
public sealed record BlockCorners(PhotoPoint TopLeft, PhotoPoint TopRight, PhotoPoint BottomRight, PhotoPoint BottomLeft, double UncertaintyPx)
{
    public PhotoPoint[] ToArray() => [TopLeft, TopRight, BottomRight, BottomLeft];

    public static BlockCorners FromArray(IReadOnlyList<PhotoPoint> points, double uncertaintyPx) =>
        new(points[0], points[1], points[2], points[3], uncertaintyPx);
}
