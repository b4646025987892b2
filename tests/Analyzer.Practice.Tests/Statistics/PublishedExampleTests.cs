using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Tests.Statistics;

/// <summary>External checks F2 to F5: permutation, t tests, bootstrap and jackknife against published examples.</summary>
public class PublishedExampleTests
{
    private static readonly double[] Maize = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48];

    // F2: Darwin's maize, Fisher, The Design of Experiments (1935), section 21.
    [Fact]
    public void SignFlip_OfDarwinsMaize_Counts863Of32768()
    {
        (long reaching, long exceeding, long all) = Permutation.SignFlipCounts(Maize);
        Assert.Equal((863, 835, 32768), (reaching, exceeding, all));
        Assert.Equal(0.052673, Permutation.SignFlipP(Maize), 6);
    }

    [Fact]
    public void OneSampleT_OfDarwinsMaize_IsFishers()
    {
        TestResult t = Samples.OneSampleT(Maize);
        Assert.Equal(20.9333, t.Estimate, 4);
        Assert.Equal(37.7444, Samples.StandardDeviation(Maize), 4);
        Assert.Equal(2.14799, t.T, 5);
        Assert.Equal(0.04970, t.P, 5);
    }

    [Fact]
    public void Wilcoxon_OfDarwinsMaize_IsExact()
    {
        (double v, double p) = Permutation.Wilcoxon(Maize);
        Assert.Equal(24, v);
        Assert.Equal(0.041260, p, 6);
    }

    // F3: Student 1908, sleep data.
    [Fact]
    public void PairedT_OfStudentsSleep_IsStudents()
    {
        double[] a = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0], b = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
        double[] d = [.. a.Zip(b, (x, y) => x - y)];
        TestResult t = Samples.OneSampleT(d);
        Assert.Equal(-4.062128, t.T, 6);
        Assert.Equal(0.00283289, t.P, 8);
        Assert.Equal(-1.58, t.Estimate, 10);
        Assert.Equal(-2.459886, t.Low, 6);
        Assert.Equal(-0.700114, t.High, 6);
        Assert.Equal(-1.284558, t.Estimate / Samples.StandardDeviation(d), 6);
        Assert.Equal(4.0 / 1024, Permutation.SignFlipP(d), 10);
    }

    // F4: Efron and Tibshirani 1993, table 2.1.
    private static readonly double[] Treated = [94, 197, 16, 38, 99, 141, 23], Control = [52, 104, 146, 10, 51, 30, 40, 27, 46];

    [Fact]
    public void TwoGroups_OfTheMice_CountExactly()
    {
        Assert.Equal(86.857, Samples.Mean(Treated), 3);
        Assert.Equal(25.2355, Math.Sqrt(Samples.Variance(Treated) / 7), 4);
        Assert.Equal(14.1586, Math.Sqrt(Samples.Variance(Control) / 9), 4);
        TestResult welch = Samples.WelchT(Treated, Control);
        Assert.Equal(30.635, welch.Estimate, 3);
        Assert.Equal(28.936, welch.StandardError, 3);
        Assert.Equal((1613, 11440), Permutation.TwoGroupCounts(Treated, Control));
    }

    [Fact]
    public void Bootstrap_OfTheMice_TendsToTheIdealStandardError()
    {
        Assert.Equal(23.3635, Resampling.IdealBootstrapOfMean(Treated), 4);
        Assert.Equal(13.3489, Resampling.IdealBootstrapOfMean(Control), 4);
        double drawn = Resampling.BootstrapStandardError(7, chosen => chosen.Average(i => Treated[i]), 20_000, seed: 1);
        // Standard error of a standard deviation from 20000 draws is about 0.5 %; three of them.
        Assert.InRange(drawn, 23.3635 * 0.985, 23.3635 * 1.015);
    }

    // F5: the same book, table 3.1, law schools.
    [Fact]
    public void Jackknife_OfTheLawSchools_IsPublished()
    {
        double[] lsat = [576, 635, 558, 578, 666, 580, 555, 661, 651, 605, 653, 575, 545, 572, 594];
        double[] gpa = [3.39, 3.30, 2.81, 3.03, 3.44, 3.07, 3.00, 3.43, 3.36, 3.13, 3.12, 2.74, 2.76, 2.88, 2.96];
        double Of(IReadOnlyList<int> c) => Samples.Correlation([.. c.Select(i => lsat[i])], [.. c.Select(i => gpa[i])]);
        Assert.Equal(0.776374, Of([.. Enumerable.Range(0, 15)]), 6);
        Assert.Equal(0.114674, (1 - 0.776374 * 0.776374) / Math.Sqrt(12), 5);
        Assert.Equal(0.142519, Resampling.JackknifeStandardError(15, Of), 6);
        // F5 gives 0.1337 from 20000 draws of another program; the draws differ, so 2 %.
        Assert.InRange(Resampling.BootstrapStandardError(15, Of, 20_000, seed: 2), 0.1337 * 0.98, 0.1337 * 1.02);
    }

    // F15.
    [Fact]
    public void SmallestP_IsWhatCountingAllows()
    {
        Assert.Equal(0.0625, Permutation.SmallestSignFlipP(5), 10);
        Assert.Equal(0.03125, Permutation.SmallestSignFlipP(6), 10);
        Assert.Equal(0.1, Permutation.SmallestTwoGroupP(3, 3), 10);
        Assert.Equal(0.02857, Permutation.SmallestTwoGroupP(4, 4), 5);
    }

    // F16.
    [Theory]
    [InlineData(0.1, 89)]
    [InlineData(0.2, 20)]
    [InlineData(0.3, 8)]
    [InlineData(0.5, 3)]
    public void LinesPerBlock_ForAChange_IsTheNormalFormula(double change, int lines) =>
        Assert.Equal(lines, SampleNeeds.LinesPerBlock(change, 0.25));

    // Rule at the head of F, and F17.
    [Fact]
    public void EffectiveSamples_OfAutocorrelatedOnes_AreFew()
    {
        double r = 0.937989183438248;
        Assert.Equal(0.0320, SampleNeeds.EffectiveForMean(1, r), 4);
        Assert.Equal(5.59, Math.Sqrt(1 / SampleNeeds.EffectiveForMean(1, r)), 2);
        Assert.Equal(0.6, SampleNeeds.EffectiveForVariance(1, 0.5), 10);
        Assert.Equal(0.105, SampleNeeds.EffectiveForVariance(1, 0.9), 3);
    }

    // Holm 1979: worked by hand. p .01 .04 .03 with equal weights: .03, .06 (running maximum), .06.
    [Fact]
    public void Holm_ByHand_StepsDown()
    {
        double[] adjusted = Holm.Adjust([0.01, 0.04, 0.03]);
        Assert.Equal(0.03, adjusted[0], 12);
        Assert.Equal(0.06, adjusted[1], 12);
        Assert.Equal(0.06, adjusted[2], 12);
        // Weights .5 .25 .25: .01 needs .01/.5; then .03 needs .03·.5/.25; then .04.
        double[] weighted = Holm.Adjust([0.01, 0.04, 0.03], [0.5, 0.25, 0.25]);
        Assert.Equal(0.02, weighted[0], 12);
        Assert.Equal(0.06, weighted[2], 12);
        Assert.Equal(0.06, weighted[1], 12);
    }
}
