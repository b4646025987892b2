namespace Analyzer.Vision.Corners;

/// <summary>The few small matrix sums the fits need.</summary>
internal static class Matrices
{
    /// <summary>Inverse of a small square matrix by Gauss and Jordan with the largest pivot of each column; all zero where there is none.</summary>
    public static double[,] Inverse(double[,] matrix)
    {
        int n = matrix.GetLength(0);
        double[,] a = (double[,])matrix.Clone(), inverse = new double[n, n];
        for (int i = 0; i < n; i++) inverse[i, i] = 1;
        for (int i = 0; i < n; i++)
        {
            int pivot = i;
            for (int r = i + 1; r < n; r++)
                if (Math.Abs(a[r, i]) > Math.Abs(a[pivot, i])) pivot = r;
            if (Math.Abs(a[pivot, i]) < 1e-150) return new double[n, n];
            for (int k = 0; k < n; k++)
            {
                (a[i, k], a[pivot, k]) = (a[pivot, k], a[i, k]);
                (inverse[i, k], inverse[pivot, k]) = (inverse[pivot, k], inverse[i, k]);
            }
            double d = a[i, i];
            for (int k = 0; k < n; k++) (a[i, k], inverse[i, k]) = (a[i, k] / d, inverse[i, k] / d);
            for (int r = 0; r < n; r++)
            {
                double times = a[r, i];
                if (r == i || times == 0) continue;
                for (int k = 0; k < n; k++) (a[r, k], inverse[r, k]) = (a[r, k] - times * a[i, k], inverse[r, k] - times * inverse[i, k]);
            }
        }
        return inverse;
    }
}
