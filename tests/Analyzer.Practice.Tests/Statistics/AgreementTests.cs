using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Tests.Statistics;

/// <summary>External checks F6 to F9 and B7: agreement, ICC, gauge study, repeatability, against published examples.</summary>
public class AgreementTests
{
    // F6: Bland and Altman, Lancet 1986; i: 307-310, table 1.
    private static readonly double[] Large1 = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427];
    private static readonly double[] Large2 = [490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421];
    private static readonly double[] Mini1 = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451];
    private static readonly double[] Mini2 = [525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443];

    [Fact]
    public void LimitsOfAgreement_OfThePeakFlowMeters_ArePublished()
    {
        MethodAgreement two = MethodAgreement.Of(Large1, Mini1, multiple: 2);
        Assert.Equal(-2.117647, two.Bias, 6);
        Assert.Equal(38.765130, two.StandardDeviation, 6);
        Assert.Equal(-79.647907, two.LowerLimit, 6);
        Assert.Equal(75.412613, two.UpperLimit, 6);
        Assert.Equal(9.401925, two.BiasStandardError, 6);
        Assert.Equal(-22.0488, two.BiasLow, 4);
        Assert.Equal(17.8135, two.BiasHigh, 4);
        Assert.Equal(16.2846, two.LimitStandardError, 4);
        Assert.Equal(0.943279, Samples.Correlation(Large1, Mini1), 6);
        MethodAgreement normal = MethodAgreement.Of(Large1, Mini1);
        Assert.Equal(-78.096, normal.LowerLimit, 3);
        Assert.Equal(73.861, normal.UpperLimit, 3);
    }

    [Fact]
    public void TestRetest_OfThePeakFlowMeters_GivesTheDetectableChange()
    {
        TestRetest large = TestRetest.Of(Large1, Large2), mini = TestRetest.Of(Mini1, Mini2);
        Assert.Equal(43.2938, large.Repeatability, 4);
        Assert.Equal(56.3163, mini.Repeatability, 4);
        Assert.Equal(15.306669, large.StandardErrorOfMeasurement, 6);
        Assert.Equal(19.910831, mini.StandardErrorOfMeasurement, 6);
        Assert.Equal(42.427922, large.MinimumDetectableChange, 6);
        Assert.Equal(55.190007, mini.MinimumDetectableChange, 6);
    }

    // F7: Shrout and Fleiss 1979.
    [Fact]
    public void Icc_OfShroutAndFleiss_IsPublished()
    {
        IntraclassCorrelation icc = IntraclassCorrelation.Of([[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]);
        double[] values = [icc.BetweenMs, icc.WithinMs, icc.RaterMs, icc.ErrorMs, icc.Icc11, icc.Icc21, icc.Icc31, icc.Icc1K, icc.Icc2K, icc.Icc3K];
        double[] expected = [11.241667, 6.263889, 32.486111, 1.019444, 0.165742, 0.289764, 0.714841, 0.442797, 0.620051, 0.909316];
        for (int i = 0; i < values.Length; i++) Assert.Equal(expected[i], values[i], 6);
        Assert.Equal(1.009675, icc.StandardErrorOfMeasurement, 6);
        Assert.Equal(2.798677, TestRetest.DetectableChange(icc.StandardErrorOfMeasurement), 6);
    }

    // F8: AIAG MSA manual, 4th ed. (values as cited in public validation notes).
    private static readonly double[][][] Gauge =
    [
        [[.29, -.56, 1.34, .47, -.80, .02, .59, -.31, 2.26, -1.36], [.41, -.68, 1.17, .50, -.92, -.11, .75, -.20, 1.99, -1.25], [.64, -.58, 1.27, .64, -.84, -.21, .66, -.17, 2.01, -1.31]],
        [[.08, -.47, 1.19, .01, -.56, -.20, .47, -.63, 1.80, -1.68], [.25, -1.22, .94, 1.03, -1.20, .22, .55, .08, 2.12, -1.62], [.07, -.68, 1.34, .20, -1.28, .06, .83, -.34, 2.19, -1.50]],
        [[.04, -1.38, .88, .14, -1.46, -.29, .02, -.46, 1.77, -1.49], [-.11, -1.13, 1.09, .20, -1.07, -.67, .01, -.56, 1.45, -1.77], [-.15, -.96, .67, .11, -1.45, -.49, .21, -.49, 1.87, -2.16]],
    ];

    [Fact]
    public void GaugeStudy_OfTheManual_IsPublished()
    {
        GaugeStudy g = GaugeStudy.Of(Gauge);
        Assert.Equal(3.16726, g.AppraiserSs, 5);
        Assert.Equal(88.36193, g.PartSs, 5);
        Assert.Equal(0.35898, g.InteractionSs, 5);
        Assert.Equal(2.75893, g.ErrorSs, 5);
        Assert.Equal(0.434, g.InteractionF, 3);
        Assert.True(g.Pooled);
        Assert.Equal(0.199933, g.Ev, 6);
        Assert.Equal(0.226838, g.Av, 6);
        Assert.Equal(0, g.Interaction);
        Assert.Equal(0.302373, g.Grr, 5);
        Assert.Equal(1.042327, g.Pv, 6);
        Assert.Equal(1.085300, g.Tv, 6);
        Assert.Equal(27.86, g.GrrPercent, 2);
        Assert.Equal(4.861, g.DistinctCategories, 3);
    }

    [Fact]
    public void RangeGaugeStudy_OfTheManual_IsPublished()
    {
        RangeGaugeStudy g = RangeGaugeStudy.Of(Gauge);
        Assert.Equal(0.34167, g.MeanRange, 5);
        Assert.Equal(0.20186, g.Ev, 4);
        Assert.Equal(0.22967, g.Av, 4);
        Assert.Equal(0.30577, g.Grr, 4);
        Assert.Equal(1.10460, g.Pv, 3);
        Assert.Equal(26.68, 100 * g.Grr / g.Tv, 1);
        Assert.Equal(5.09, 1.41 * g.Pv / g.Grr, 2);
    }

    // B7 (NIST StRD SiRstv) with F9 (ISO 5725-2 formulas).
    [Fact]
    public void Repeatability_OfTheCertifiedInstruments_IsF9()
    {
        double[][] rows =
        [
            [0.3052, 0.3042, 0.1303, 0.2795, 0.2119], [0.1240, 0.3825, 0.2005, 0.1748, 0.1051], [0.1890, 0.1669, 0.2889, 0.1494, 0.1850],
            [0.2569, 0.3257, 0.0343, 0.1485, 0.0052], [0.3403, 0.0422, 0.1811, -0.0115, 0.2090],
        ];
        double[][] instruments = [.. Enumerable.Range(0, 5).Select(c => rows.Select(r => 196 + r[c]).ToArray())];
        var anova = Analyzer.Core.Statistics.OneWayAnova.Of(instruments);
        Assert.Equal(1.18046237440255, anova.F, 9);
        Assert.Equal(0.349447, anova.P, 6);
        Repeatability r = Repeatability.Of(instruments);
        Assert.Equal(0.104076068, r.RepeatabilitySd, 9);
        Assert.Equal(0.00039094748, r.BetweenVariance, 9);
        Assert.Equal(0.105937602, r.ReproducibilitySd, 9);
        Assert.Equal(2.8 * 0.104076068, r.RepeatabilityLimit, 8);
        Assert.Equal(2.8 * 0.105937602, r.ReproducibilityLimit, 8);
    }

    // F10: JCGM 100:2008 example H.1, effective degrees of freedom and expanded uncertainty.
    [Fact]
    public void EffectiveDf_OfTheEndGauge_IsTheGums()
    {
        (double U, double Df)[] parts = [(25, 18), (9.7, 25.6), (2.9, 50), (16.6, 2)];
        double df = Student.EffectiveDf(parts.Select(p => (p.U * p.U, p.Df))), u = Math.Sqrt(parts.Sum(p => p.U * p.U));
        Assert.Equal(31.7, u, 1);
        Assert.Equal(16.76, df, 1);
        double t = Student.TwoSidedQuantile(0.01, Math.Floor(df));
        Assert.Equal(2.9208, t, 4);
        Assert.InRange(t * u, 92.45, 92.55);
    }

    // F11: JCGM 100:2008 example H.3.
    [Fact]
    public void LineFit_OfTheThermometer_IsTheGums()
    {
        double[] t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
        double[] b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
        StraightLineFit fit = StraightLineFit.Of(t, b, 20);
        Assert.Equal(-0.17120379, fit.Intercept, 8);
        Assert.Equal(0.0028776, fit.InterceptU, 7);
        Assert.Equal(0.0021827, fit.Slope, 7);
        Assert.Equal(0.00066794, fit.SlopeU, 8);
        Assert.Equal(-0.930429603, fit.Correlation, 9);
        Assert.Equal(0.003497564, fit.ResidualSd, 9);
        Assert.Equal(-0.149376813, fit.At(30), 9);
        Assert.Equal(0.004138596, fit.UAt(30), 9);
    }
}
