using Analyzer.Core.Statistics;

namespace Analyzer.Core.Tests.Statistics;

/// <summary>Linear fits against certified values of NIST StRD (external checks B1 to B5) and ANOVA (B7).</summary>
public sealed class CertifiedFitTests
{
    /// <summary>Digits asked of the easy and average sets, relative.</summary>
    private const double Easy = 1e-11;

    /// <summary>Longley loses about five digits in double precision by its nature.</summary>
    private const double Hard = 1e-9;

    private static void Near(double expected, double actual, double relative) =>
        Assert.True(Math.Abs(actual - expected) <= relative * Math.Abs(expected), $"expected {expected:R}, got {actual:R}");

    private static double[][] Powers(IEnumerable<double> x, int degree) =>
        [.. x.Select(v => Enumerable.Range(0, degree + 1).Select(k => Math.Pow(v, k)).ToArray())];

    /// <summary>B1 Norris.</summary>
    [Fact]
    public void LinearFit_OfNorris_IsCertified()
    {
        LinearLeastSquares fit = LinearLeastSquares.Fit(Powers(NistData.NorrisX, 1), NistData.NorrisY);
        Near(-0.262323073774029, fit.Coefficients[0], Easy);
        Near(1.00211681802045, fit.Coefficients[1], Easy);
        Near(0.232818234301152, fit.CoefficientSd(0), Easy);
        Near(0.429796848199937E-03, fit.CoefficientSd(1), Easy);
        Near(0.884796396144373, fit.ResidualSd, Easy);
        Near(26.6173985294224, fit.ResidualSumOfSquares, Easy);
        Near(0.999993745883712, fit.RSquared, Easy);
    }

    /// <summary>B1 Norris with the straight-line code used for stitched lines.</summary>
    [Fact]
    public void LeastSquaresLine_OfNorris_IsCertified()
    {
        var line = Analyzer.Core.Deviation.LeastSquaresLine.Fit(NistData.NorrisX, NistData.NorrisY);
        Near(-0.262323073774029, line.InterceptMm, 1e-10);
        Near(1.00211681802045, line.Slope, 1e-12);
    }

    /// <summary>B2 Pontius, quadratic.</summary>
    [Fact]
    public void LinearFit_OfPontius_IsCertified()
    {
        double[] x = [.. Enumerable.Range(0, 40).Select(i => 150000.0 * (i % 20 + 1))];
        LinearLeastSquares fit = LinearLeastSquares.Fit(Powers(x, 2), NistData.PontiusY);
        double[] b = [0.673565789473684E-03, 0.732059160401003E-06, -0.316081871345029E-14];
        double[] sd = [0.107938612033077E-03, 0.157817399981659E-09, 0.486652849992036E-16];
        for (int i = 0; i < 3; i++)
        {
            Near(b[i], fit.Coefficients[i], Hard);
            Near(sd[i], fit.CoefficientSd(i), Hard);
        }
        Near(0.205177424076185E-03, fit.ResidualSd, Hard);
        Near(0.999999900178537, fit.RSquared, Hard);
    }

    /// <summary>B3 NoInt1: y = B1 x without intercept.</summary>
    [Fact]
    public void LinearFit_OfNoInt1_IsCertified()
    {
        double[] x = [.. Enumerable.Range(60, 11).Select(i => (double)i)];
        LinearLeastSquares fit = LinearLeastSquares.Fit([.. x.Select(v => new[] { v })], [.. x.Select(v => v + 70)]);
        Near(2.07438016528926, fit.Coefficients[0], 1e-14);
        Near(0.165289256198347E-01, fit.CoefficientSd(0), 1e-13);
        Near(3.56753034006338, fit.ResidualSd, 1e-13);
    }

    /// <summary>B4 Longley, six nearly dependent predictors.</summary>
    [Fact]
    public void LinearFit_OfLongley_IsCertified()
    {
        LinearLeastSquares fit = LinearLeastSquares.Fit([.. NistData.Longley.Select(r => new[] { 1, r[1], r[2], r[3], r[4], r[5], r[6] })], [.. NistData.Longley.Select(r => r[0])]);
        double[] b = [-3482258.63459582, 15.0618722713733, -0.358191792925910E-01, -2.02022980381683, -1.03322686717359, -0.511041056535807E-01, 1829.15146461355];
        for (int i = 0; i < b.Length; i++) Near(b[i], fit.Coefficients[i], Hard);
        Near(304.854073561965, fit.ResidualSd, Hard);
        Near(0.995479004577296, fit.RSquared, Hard);
    }

    /// <summary>B5 Wampler1 and Wampler5: raw powers up to 20⁵, 1e-5 relative asked.</summary>
    [Fact]
    public void LinearFit_OfWampler_HasAllCoefficientsOne()
    {
        double[] x = [.. Enumerable.Range(0, 21).Select(i => (double)i)];
        double[][] rows = Powers(x, 5);
        LinearLeastSquares one = LinearLeastSquares.Fit(rows, [.. rows.Select(r => r.Sum())]);
        LinearLeastSquares five = LinearLeastSquares.Fit(rows, NistData.Wampler5Y);
        double[] sd = [21523262.4678170, 23635517.3469681, 7793435.24331583, 1014755.07550350, 56456.6512170752, 1123.24854679312];
        for (int i = 0; i < 6; i++)
        {
            Near(1, one.Coefficients[i], 1e-5);
            Near(1, five.Coefficients[i], 1e-5);
            Near(sd[i], five.CoefficientSd(i), 1e-7);
        }
        Near(23601450.2379268, five.ResidualSd, 1e-10);
    }

    [Fact]
    public void LinearFit_OfDependentColumns_IsRefused() =>
        Assert.Throws<ArgumentException>(() => LinearLeastSquares.Fit([[1, 2], [2, 4], [3, 6]], [1, 2, 3]));

    /// <summary>B7 SiRstv; p of F 0.349447 from check F9.</summary>
    [Fact]
    public void Anova_OfSiRstv_IsCertified()
    {
        OneWayAnova a = OneWayAnova.Of([.. Enumerable.Range(0, 5).Select(c => (IReadOnlyList<double>)[.. NistData.SiRstv.Select(r => 196 + r[c])])]);
        Near(5.11462616000000E-02, a.BetweenSs, 1e-9);
        Near(2.16636560000000E-01, a.WithinSs, 1e-9);
        Near(1.18046237440255, a.F, 1e-9);
        Near(1.90999039051129E-01, a.RSquared, 1e-9);
        Near(1.04076068334656E-01, a.ResidualSd, 1e-9);
        Assert.Equal(4, a.BetweenDf);
        Assert.Equal(20, a.WithinDf);
        Assert.Equal(0.349447, a.P, 6e-7);
    }

    /// <summary>
    /// B7 SmLs01, 04 and 07 (NIST StRD; Simon and Lesage 1989): nine treatments of 21 values, the first at its mean and the others 0.1 to either side, after 0, 7
    /// or 13 constant digits. Doubles beside 10^6 and 10^12 lie 1.2e-10 and 1.2e-4 apart: half of that against 0.1, squared and summed, bounds the last figures.
    /// </summary>
    [Theory]
    [InlineData(1, 1e-12)]
    [InlineData(1_000_000, 2.5e-9)]
    [InlineData(1_000_000_000_000, 2.5e-3)]
    public void Anova_AfterConstantDigits_IsCertified(long leading, double relative)
    {
        double[] tenths = [4, 3, 5, 3, 5, 3, 5, 3, 5];
        double Value(double tenth) => double.Parse($"{leading}.{tenth:0}", System.Globalization.CultureInfo.InvariantCulture);
        OneWayAnova a = OneWayAnova.Of([.. tenths.Select(t => (IReadOnlyList<double>)[Value(t), .. Enumerable.Range(0, 20).Select(i => Value(i % 2 == 0 ? t - 1 : t + 1))])]);
        Near(1.68, a.BetweenSs, relative);
        Near(1.8, a.WithinSs, relative);
        Near(21, a.F, 2 * relative);
        Near(4.82758620689655E-01, a.RSquared, Math.Max(relative, 1e-12));
        Near(0.1, a.ResidualSd, relative);
        Assert.Equal((8, 180), (a.BetweenDf, a.WithinDf));
    }
}
