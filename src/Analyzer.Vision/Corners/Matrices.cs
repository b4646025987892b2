namespace Analyzer.Vision.Corners;

/// <summary>The few small matrix sums the fits need.</summary>
internal static class Matrices
{
    public static double[,] Invert3(double[,] a)
    {
        double c00 = a[1, 1] * a[2, 2] - a[1, 2] * a[2, 1], c01 = a[1, 2] * a[2, 0] - a[1, 0] * a[2, 2], c02 = a[1, 0] * a[2, 1] - a[1, 1] * a[2, 0];
        double det = a[0, 0] * c00 + a[0, 1] * c01 + a[0, 2] * c02;
        if (Math.Abs(det) < 1e-300) return new double[3, 3];
        return new double[3, 3]
        {
            { c00 / det, (a[0, 2] * a[2, 1] - a[0, 1] * a[2, 2]) / det, (a[0, 1] * a[1, 2] - a[0, 2] * a[1, 1]) / det },
            { c01 / det, (a[0, 0] * a[2, 2] - a[0, 2] * a[2, 0]) / det, (a[0, 2] * a[1, 0] - a[0, 0] * a[1, 2]) / det },
            { c02 / det, (a[0, 1] * a[2, 0] - a[0, 0] * a[2, 1]) / det, (a[0, 0] * a[1, 1] - a[0, 1] * a[1, 0]) / det },
        };
    }
}
