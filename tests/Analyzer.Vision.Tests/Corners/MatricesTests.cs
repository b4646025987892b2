using Analyzer.Vision.Corners;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Truth: a matrix times its inverse is the unit matrix.</summary>
public class MatricesTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    [InlineData(4)]
    public void Inverse_TimesTheMatrix_IsOne(int n)
    {
        var random = new Random(n);
        var a = new double[n, n];
        for (int i = 0; i < n; i++)
            for (int k = 0; k < n; k++) a[i, k] = random.NextDouble() - 0.5;
        a[0, 0] = n > 1 ? 0 : 2;
        double[,] inverse = Matrices.Inverse(a);
        for (int i = 0; i < n; i++)
            for (int k = 0; k < n; k++) Assert.Equal(i == k ? 1 : 0, Enumerable.Range(0, n).Sum(j => a[i, j] * inverse[j, k]), 9);
    }

    [Fact]
    public void Inverse_OfASingularMatrix_IsZero() => Assert.All(Matrices.Inverse(new double[,] { { 1, 2 }, { 2, 4 } }).Cast<double>(), v => Assert.Equal(0, v));
}
