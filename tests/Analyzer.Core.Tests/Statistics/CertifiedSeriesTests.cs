using Analyzer.Core.Statistics;

namespace Analyzer.Core.Tests.Statistics;

/// <summary>Mean, standard deviation and lag-1 autocorrelation against NIST StRD (B6); distributions and trend tests.</summary>
public sealed class CertifiedSeriesTests
{
    private static void Check(double[] values, double mean, double sd, double r1, double relative)
    {
        Assert.Equal(mean, Moments.Mean(values), Math.Abs(mean) * 1e-14);
        Assert.Equal(sd, Moments.Sd(values), sd * relative);
        Assert.Equal(r1, Moments.Autocorrelation(values, 1), Math.Abs(r1) * Math.Max(relative, 1e-11));
    }

    [Fact]
    public void Moments_OfMavro_AreCertified() => Check(NistData.Mavro, 2.00185600000000, 0.000429123454003053, 0.937989183438248, 1e-11);

    [Fact]
    public void Moments_OfMichelso_AreCertified() =>
        Check([.. NistData.MichelsoHundredths.Select(k => 299 + k / 100)], 299.852400000000, 0.0790105478190518, 0.535199668621283, 1e-11);

    [Fact]
    public void Moments_OfLew_AreCertified() => Check(NistData.Lew, -177.435000000000, 277.332168044316, -0.307304800605679, 1e-12);

    [Fact]
    public void Moments_OfLottery_AreCertified() => Check(NistData.Lottery, 518.958715596330, 291.699727470969, -0.120948622967393, 1e-12);

    /// <summary>B6 NumAcc1 to 4: exact small numbers on large common values; 3 and 4 are not representable, so fewer digits are asked.</summary>
    [Theory]
    [InlineData(10000001, 10000003, 1, 10000002, 1, -0.5, 1e-12)]
    [InlineData(1.1, 1.3, 500, 1.2, 0.1, -0.999, 1e-12)]
    [InlineData(1000000.1, 1000000.3, 500, 1000000.2, 0.1, -0.999, 1e-9)]
    [InlineData(10000000.1, 10000000.3, 500, 10000000.2, 0.1, -0.999, 1e-7)]
    public void Moments_OfLargeCommonValues_KeepTheirDigits(double a, double b, int times, double mean, double sd, double r1, double relative)
    {
        double[] values = times == 1 ? [a, b, mean] : [mean, .. Enumerable.Range(0, times).SelectMany(_ => new[] { a, b })];
        Check(values, mean, sd, r1, relative);
    }

    /// <summary>Section F rule: r1 0.938 gives n_eff/n 0.0320. F17: variance, r 0.5 0.6, r 0.9 0.105.</summary>
    [Fact]
    public void EffectiveCount_OfAutocorrelatedSeries_IsTheClosedForm()
    {
        Assert.Equal(0.0320, Moments.EffectiveCountForMean(1, 0.937989183438248), 5e-5);
        Assert.Equal(0.6, Moments.EffectiveCountForVariance(1, 0.5), 1e-12);
        Assert.Equal(0.105, Moments.EffectiveCountForVariance(1, 0.9), 5e-4);
    }

    /// <summary>GUM H.1 (F10): t for 99 % and 16 degrees of freedom is 2.9208; normal quantile 1.959964 (standard table, from memory).</summary>
    [Fact]
    public void Quantiles_OfStudentAndNormal_AreTheTables()
    {
        Assert.Equal(2.9208, SpecialFunctions.StudentQuantile(0.99, 16), 5e-5);
        Assert.Equal(1.959963985, NormalDistribution.Quantile(0.975), 1e-9);
        Assert.Equal(0.975, NormalDistribution.Cdf(1.959963984540054), 1e-14);
        // F2: Darwin's maize t 2.14799, 14 df, p 0.04970; F3: sleep t -4.062128, 9 df, p 0.00283289.
        Assert.Equal(0.04970, SpecialFunctions.StudentTwoSidedP(2.14799, 14), 6e-6);
        Assert.Equal(0.00283289, SpecialFunctions.StudentTwoSidedP(4.062128, 9), 6e-9);
    }

    /// <summary>F12 (Hollander and Wolfe): slope -0.05625, S -6, p 0.23333. F13 (Sen): slope 4. F14: exact tails of S.</summary>
    [Fact]
    public void RankTrend_OfPublishedExamples_IsExact()
    {
        RankTrend theil = RankTrend.Of([1, 2, 3, 4, 5], [1.26, 1.27, 1.12, 1.16, 1.03]);
        Assert.Equal(-6, theil.S);
        Assert.Equal(-0.05625, theil.Slope, 1e-12);
        Assert.Equal(28.0 / 120, theil.P, 1e-12);
        Assert.Equal(4.0, RankTrend.Of([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78]).Slope, 1e-12);
        Assert.Equal(1.0 / 24, RankTrend.ExactUpper(4, 6), 1e-15);
        Assert.Equal(5.0 / 120, RankTrend.ExactUpper(5, 8), 1e-15);
        Assert.Equal(20.0 / 720, RankTrend.ExactUpper(6, 11), 1e-15);
        Assert.Equal(7.0 / 5040, RankTrend.ExactUpper(7, 19), 1e-15);
        Assert.Equal(8.0 / 40320, RankTrend.ExactUpper(8, 26), 1e-15);
    }

    /// <summary>Analytic: one wild value moves neither the robust mean nor the robust spread much.</summary>
    [Fact]
    public void RobustMean_WithOneWildValue_StaysPut()
    {
        double[] values = [1.0, 1.1, 0.9, 1.05, 0.95, 1.02, 0.98, 50];
        Assert.Equal(1.0, Moments.RobustMean(values), 0.02);
        Assert.InRange(Moments.RobustSd(values), 0.05, 0.15);
        (double mean, double u) = Moments.WeightedMean([1, 3], [1, 1]);
        Assert.Equal((2.0, Math.Sqrt(0.5)), (mean, u));
    }
}
