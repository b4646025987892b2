using Analyzer.Core.Reference;

namespace Analyzer.Planning.Drawing;

/// <summary>Square reference marks that photo software can find: 4 x 4 cells in a black frame, OpenCV's open dictionary 4X4_50, marks 0 to 3.</summary>
/// <remarks>Mark 0 stands outside the top left corner, then clockwise; each one's near corner lies <see cref="GapMm"/> from the block's in both directions.</remarks>
internal static class CornerMarks
{
    public const double SideMm = BlockMarks.SideMm, GapMm = BlockMarks.GapMm;

    /// <summary>White cells of each mark, row by row from the top left.</summary>
    internal static readonly string[] Cells = ["1011 0101 0011 0010", "0000 1111 1001 1010", "0011 0011 0010 1101", "1001 1001 0100 0110"];

    public static void Draw(Canvas canvas, int id, double centreX, double centreY)
    {
        const double cell = SideMm / 6;
        double x = centreX - SideMm / 2, y = centreY - SideMm / 2;
        canvas.Rect(x, y, SideMm, SideMm, null, "#000000");
        string[] rows = Cells[id].Split(' ');
        for (int r = 0; r < 4; r++)
            for (int c = 0; c < 4; c++)
                if (rows[r][c] == '1') canvas.Rect(x + (c + 1) * cell, y + (r + 1) * cell, cell, cell, null, "#ffffff");
    }
}
