using Analyzer.Vision.Learnt;

namespace Analyzer.Vision.Tests.Learnt;

/// <summary>What a net would say about one line, made up for a test.</summary>
internal static class InventedStrip
{
    /// <param name="cells">Cells along the line.</param>
    /// <param name="logOdds">Log odds of thread at a place: mm along the line, mm beside it.</param>
    /// <param name="middleMm">Deviation of the strip's middle, mm.</param>
    public static SightStrip Of(int cells, Func<double, double, double> logOdds, double middleMm = 0)
    {
        var values = new float[SightStrip.Rows * cells];
        for (int r = 0; r < SightStrip.Rows; r++)
            for (int c = 0; c < cells; c++) values[r * cells + c] = (float)logOdds(SightStrip.AlongMm(c), middleMm - ThreadNet.HalfWidthMm + (r + 0.5) * SightStrip.CellMm);
        return new SightStrip(middleMm, cells, values);
    }
}
