namespace Analyzer.Core.Statistics;

/// <summary>Linear least squares by Householder QR, with columns scaled to unit length and one step of iterative refinement.</summary>
/// <remarks>Golub and Van Loan, Matrix Computations, section 5.3 (from memory). Checked against NIST StRD Norris, Pontius, NoInt1, Longley, Wampler1 and 5.</remarks>
public sealed class LinearLeastSquares
{
    private readonly double[,] _rInverse;

    private LinearLeastSquares(double[] coefficients, double[] residuals, double[,] rInverse, double meanSquareAboutMean)
    {
        Coefficients = coefficients;
        Residuals = residuals;
        _rInverse = rInverse;
        ResidualSumOfSquares = residuals.Sum(r => r * r);
        TotalSumOfSquares = meanSquareAboutMean;
    }

    public IReadOnlyList<double> Coefficients { get; }

    public IReadOnlyList<double> Residuals { get; }

    public double ResidualSumOfSquares { get; }

    /// <summary>Sum of squares of the observations about their mean.</summary>
    public double TotalSumOfSquares { get; }

    public int DegreesOfFreedom => Residuals.Count - Coefficients.Count;

    /// <summary>Residual standard deviation, √(RSS / degrees of freedom).</summary>
    public double ResidualSd => Math.Sqrt(ResidualSumOfSquares / DegreesOfFreedom);

    /// <summary>Share of the variance about the mean that the model explains; meaningful with an intercept.</summary>
    public double RSquared => 1 - ResidualSumOfSquares / TotalSumOfSquares;

    /// <summary>Entry of (XᵀX)⁻¹.</summary>
    public double InverseNormal(int i, int j)
    {
        double sum = 0;
        for (int k = Math.Max(i, j); k < Coefficients.Count; k++) sum += _rInverse[i, k] * _rInverse[j, k];
        return sum;
    }

    /// <summary>Standard deviation of a coefficient from the residual scatter.</summary>
    public double CoefficientSd(int i) => ResidualSd * Math.Sqrt(InverseNormal(i, i));

    /// <summary>x·β̂'s variance in units of the observation variance: xᵀ(XᵀX)⁻¹x. For a row of X its leverage.</summary>
    public double Leverage(IReadOnlyList<double> row)
    {
        double sum = 0;
        for (int k = 0; k < Coefficients.Count; k++)
        {
            double v = 0;
            for (int i = 0; i <= k; i++) v += row[i] * _rInverse[i, k];
            sum += v * v;
        }
        return sum;
    }

    /// <param name="rows">One row of the design matrix per observation.</param>
    /// <exception cref="ArgumentException">Fewer observations than coefficients, or columns that depend on each other.</exception>
    public static LinearLeastSquares Fit(IReadOnlyList<double[]> rows, IReadOnlyList<double> observations)
    {
        int n = rows.Count, p = rows[0].Length;
        if (n < p) throw new ArgumentException($"{p} coefficients need at least {p} observations; there are {n}.", nameof(rows));
        if (observations.Count != n) throw new ArgumentException("Rows and observations must be equally many.", nameof(observations));
        var scale = new double[p];
        var a = new double[n, p];
        for (int c = 0; c < p; c++)
        {
            double norm = Math.Sqrt(rows.Sum(r => r[c] * r[c]));
            if (!(norm > 0)) throw new ArgumentException($"Column {c + 1} of the model is empty.", nameof(rows));
            scale[c] = 1 / norm;
            for (int r = 0; r < n; r++) a[r, c] = rows[r][c] * scale[c];
        }
        double[] diagonal = Factor(a);
        double[] coefficients = Solve(a, diagonal, [.. observations]);
        double[] residuals = ResidualsOf(rows, observations, Unscaled(coefficients, scale));
        double[] correction = Solve(a, diagonal, [.. residuals]);
        for (int c = 0; c < p; c++) coefficients[c] += correction[c];
        double[] final = Unscaled(coefficients, scale);
        double mean = observations.Average();
        return new LinearLeastSquares(final, ResidualsOf(rows, observations, final), InvertR(a, diagonal, scale), observations.Sum(y => (y - mean) * (y - mean)));
    }

    private static double[] Unscaled(double[] coefficients, double[] scale) => [.. coefficients.Select((v, c) => v * scale[c])];

    private static double[] ResidualsOf(IReadOnlyList<double[]> rows, IReadOnlyList<double> y, double[] b)
    {
        var r = new double[rows.Count];
        for (int i = 0; i < r.Length; i++)
        {
            double sum = y[i];
            for (int c = 0; c < b.Length; c++) sum -= rows[i][c] * b[c];
            r[i] = sum;
        }
        return r;
    }

    /// <summary>Leaves the Householder vectors in and below the diagonal of a, R above it; returns R's diagonal.</summary>
    private static double[] Factor(double[,] a)
    {
        int n = a.GetLength(0), p = a.GetLength(1);
        var diagonal = new double[p];
        for (int c = 0; c < p; c++)
        {
            double norm = 0;
            for (int r = c; r < n; r++) norm += a[r, c] * a[r, c];
            norm = Math.Sqrt(norm);
            if (norm < 1e-13) throw new ArgumentException("Columns of the model depend on each other.");
            diagonal[c] = a[c, c] > 0 ? -norm : norm;
            a[c, c] -= diagonal[c];
            for (int k = c + 1; k < p; k++)
            {
                double dot = 0;
                for (int r = c; r < n; r++) dot += a[r, c] * a[r, k];
                double f = dot / (diagonal[c] * a[c, c]);
                for (int r = c; r < n; r++) a[r, k] += f * a[r, c];
            }
        }
        return diagonal;
    }

    private static double[] Solve(double[,] a, double[] diagonal, double[] y)
    {
        int n = a.GetLength(0), p = a.GetLength(1);
        for (int c = 0; c < p; c++)
        {
            double dot = 0;
            for (int r = c; r < n; r++) dot += a[r, c] * y[r];
            double f = dot / (diagonal[c] * a[c, c]);
            for (int r = c; r < n; r++) y[r] += f * a[r, c];
        }
        var x = new double[p];
        for (int c = p - 1; c >= 0; c--)
        {
            double sum = y[c];
            for (int k = c + 1; k < p; k++) sum -= a[c, k] * x[k];
            x[c] = sum / diagonal[c];
        }
        return x;
    }

    private static double[,] InvertR(double[,] a, double[] diagonal, double[] scale)
    {
        int p = diagonal.Length;
        var inverse = new double[p, p];
        for (int column = 0; column < p; column++)
        {
            for (int r = column; r >= 0; r--)
            {
                double sum = r == column ? 1 : 0;
                for (int k = r + 1; k <= column; k++) sum -= a[r, k] * inverse[k, column];
                inverse[r, column] = sum / diagonal[r];
            }
        }
        for (int r = 0; r < p; r++)
            for (int c = r; c < p; c++) inverse[r, c] *= scale[r];
        return inverse;
    }
}
