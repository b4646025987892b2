using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Planning;

/// <summary>A square reference mark outside a corner of the block, of OpenCV's open dictionary 4X4_50.</summary>
/// <param name="Id">Its number in the dictionary: 0 top left, 1 top right, 2 bottom right, 3 bottom left.</param>
/// <param name="Corners">Corners of its black square in block mm: top left, top right, bottom right, bottom left.</param>
public sealed record CornerMark(int Id, IReadOnlyList<BlockPoint> Corners)
{
    public const string Dictionary = "4X4_50";

    /// <summary>The four marks of a block, as the template prints them.</summary>
    public static IReadOnlyList<CornerMark> Around(BlockSize size)
    {
        const double gap = Drawing.CornerMarks.GapMm, side = Drawing.CornerMarks.SideMm;
        double left = -gap - side, right = size.WidthMm + gap, top = -gap - side, bottom = size.HeightMm + gap;
        (double X, double Y)[] places = [(left, top), (right, top), (right, bottom), (left, bottom)];
        return [.. places.Select((p, id) => new CornerMark(id,
            [new(p.X, p.Y), new(p.X + side, p.Y), new(p.X + side, p.Y + side), new(p.X, p.Y + side)]))];
    }
}
