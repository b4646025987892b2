namespace Analyzer.Vision.Tracing;

/// <summary>Small linear least-squares fits by normal equations with columns of order one: at most eight unknowns.</summary>
internal static class SmallFit
{
    /// <summary>Inverse of the weighted normal matrix of the given columns (column-major, one array a column), or null when singular.</summary>
    public static double[,]? InverseNormal(double[][] columns, ReadOnlySpan<double> weights)
    {
        int k = columns.Length, n = columns[0].Length;
        var a = new double[k, 2 * k];
        for (int p = 0; p < k; p++)
        {
            for (int q = p; q < k; q++)
            {
                double sum = 0;
                double[] cp = columns[p], cq = columns[q];
                for (int i = 0; i < n; i++) sum += weights[i] * cp[i] * cq[i];
                a[p, q] = a[q, p] = sum;
            }
            a[p, k + p] = 1;
        }
        for (int c = 0; c < k; c++)
        {
            int pivot = c;
            for (int r = c + 1; r < k; r++)
                if (Math.Abs(a[r, c]) > Math.Abs(a[pivot, c])) pivot = r;
            if (Math.Abs(a[pivot, c]) < 1e-10) return null;
            if (pivot != c)
                for (int j = 0; j < 2 * k; j++) (a[c, j], a[pivot, j]) = (a[pivot, j], a[c, j]);
            double scale = 1 / a[c, c];
            for (int j = 0; j < 2 * k; j++) a[c, j] *= scale;
            for (int r = 0; r < k; r++)
            {
                if (r == c || a[r, c] == 0) continue;
                double f = a[r, c];
                for (int j = 0; j < 2 * k; j++) a[r, j] -= f * a[c, j];
            }
        }
        var inverse = new double[k, k];
        for (int p = 0; p < k; p++)
            for (int q = 0; q < k; q++) inverse[p, q] = a[p, k + q];
        return inverse;
    }
}
