namespace Analyzer.Core.Statistics;

/// <summary>Cholesky factor A = L Lᵀ of a symmetric positive definite matrix, for small ridge systems.</summary>
internal sealed class Cholesky
{
    private readonly double[,] _l;

    private readonly int _n;

    public Cholesky(double[,] a)
    {
        _n = a.GetLength(0);
        _l = new double[_n, _n];
        for (int i = 0; i < _n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double sum = a[i, j];
                for (int k = 0; k < j; k++) sum -= _l[i, k] * _l[j, k];
                if (i != j) _l[i, j] = sum / _l[j, j];
                else if (sum > 0) _l[i, i] = Math.Sqrt(sum);
                else throw new ArgumentException("The matrix is not positive definite.", nameof(a));
            }
        }
    }

    public double LogDeterminant
    {
        get
        {
            double sum = 0;
            for (int i = 0; i < _n; i++) sum += 2 * Math.Log(_l[i, i]);
            return sum;
        }
    }

    public double[] Solve(double[] b)
    {
        double[] x = Forward(b);
        return Backward(x);
    }

    /// <summary>A⁻¹.</summary>
    public double[,] Inverse()
    {
        var inverse = new double[_n, _n];
        for (int c = 0; c < _n; c++)
        {
            var unit = new double[_n];
            unit[c] = 1;
            double[] x = Solve(unit);
            for (int r = 0; r < _n; r++) inverse[r, c] = x[r];
        }
        return inverse;
    }

    /// <summary>L⁻ᵀ z: a draw with covariance A⁻¹ when z holds independent standard normal numbers.</summary>
    public double[] Backward(double[] z)
    {
        double[] x = [.. z];
        for (int i = _n - 1; i >= 0; i--)
        {
            for (int k = i + 1; k < _n; k++) x[i] -= _l[k, i] * x[k];
            x[i] /= _l[i, i];
        }
        return x;
    }

    private double[] Forward(double[] b)
    {
        double[] x = [.. b];
        for (int i = 0; i < _n; i++)
        {
            for (int k = 0; k < i; k++) x[i] -= _l[i, k] * x[k];
            x[i] /= _l[i, i];
        }
        return x;
    }
}
