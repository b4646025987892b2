namespace Analyzer.Practice.Comparing;

/// <summary>A smooth warp of a block that leaves its four corners where they are: edges bow, the middle shifts.</summary>
/// <remarks>Modes for each of x and y: b(u), b(v) and b(u)b(v) with b(t) = 4t(1-t), u and v from 0 to 1 across and down.</remarks>
internal sealed class SmoothWarp(double widthMm, double heightMm, double[] sizesMm)
{
    public const int Modes = 6;

    /// <summary>Root mean square over the block of one component when each mode has standard deviation 1: sqrt(8/15 + 8/15 + 64/225).</summary>
    public static readonly double RmsOfUnitModes = Math.Sqrt(8.0 / 15 + 8.0 / 15 + 64.0 / 225);

    public (double X, double Y) At(double x, double y)
    {
        double bu = 4 * (x / widthMm) * (1 - x / widthMm), bv = 4 * (y / heightMm) * (1 - y / heightMm), both = bu * bv;
        return (sizesMm[0] * bu + sizesMm[1] * bv + sizesMm[2] * both, sizesMm[3] * bu + sizesMm[4] * bv + sizesMm[5] * both);
    }
}
