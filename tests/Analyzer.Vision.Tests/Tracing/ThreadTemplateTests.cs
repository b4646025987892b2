using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

public sealed class ThreadTemplateTests
{
    private const double StepMm = 1.0 / 12;

    /// <summary>Centre found in a noise-free profile must be right to this, mm: a tenth of the product's own tolerance.</summary>
    private const double CentreToleranceMm = 0.01;

    private static double[] Profile(Func<double, double> f) => [.. Enumerable.Range(-45, 91).Select(i => f(i * StepMm))];

    [Theory]
    [InlineData(0.0)]
    [InlineData(0.07)]
    [InlineData(-0.12)]
    public void Template_OfBlurredBar_FindsItsCentre(double centre)
    {
        ThreadTemplate t = ThreadTemplate.Learn(Profile(u => 20 * ThreadTemplate.Bar(u - centre, 0.3, 0.12) + 3 + u));
        Assert.InRange(t.CentreMm, centre - CentreToleranceMm, centre + CentreToleranceMm);
    }

    /// <summary>
    /// External check E3 (Steger, IEEE PAMI 20(2), 1998): on a bar between grounds of unequal height a, a second-derivative detector lands at
    /// -(σ²/2w) ln(1 - a) beside the middle, 0.0744 for w = 2, σ = 2/√3, a = 0.2, in the unit of w. With the bar 0.3 mm wide that is 0.0056 mm
    /// per 0.15 mm half-width unit step; the template's one-sided ground takes up the step, so our centre must do better than half of the bias at a = 0.5.
    /// </summary>
    [Fact]
    public void Template_OfBarBetweenUnequalGrounds_IsNotDrawnAside()
    {
        const double w = 0.15, sigma = 0.15, a = 0.5;
        double stegerBias = -sigma * sigma / (2 * w) * Math.Log(1 - a);
        ThreadTemplate t = ThreadTemplate.Learn(Profile(u => 10 * ThreadTemplate.Bar(u, 2 * w, 0.1) + 5 * a * (1 + ThreadTemplate.Erf(u / (0.35 * Math.Sqrt(2))))));
        Assert.True(Math.Abs(t.CentreMm) < stegerBias / 2, $"centre {t.CentreMm} mm, second-derivative bias {stegerBias} mm");
    }

    /// <summary>JCGM 100:2008, 5.1.2: independent parts add in squares. What is left of the centre's u without the light's part does not hang on shadow or width.</summary>
    [Fact]
    public void CentreUncertainty_WithoutTheLightsPart_IsThatOfAnEvenThinBar()
    {
        ThreadTemplate even = ThreadTemplate.Learn(Profile(u => 20 * ThreadTemplate.Bar(u, 0.3, 0.12)));
        ThreadTemplate shaded = ThreadTemplate.Learn(Profile(u => 20 * ThreadTemplate.Bar(u, 0.3, 0.12) + 10 * Math.Tanh(u / ThreadTemplate.ShadowScaleMm)));
        ThreadTemplate wide = ThreadTemplate.Learn(Profile(u => 20 * ThreadTemplate.Bar(u, 0.6, 0.12)));
        Assert.True(shaded.LightUMm > 0.05 && wide.LightUMm > 0.04 && even.LightUMm < 0.02, $"{shaded.LightUMm:0.000}, {wide.LightUMm:0.000}, {even.LightUMm:0.000}");
        foreach (ThreadTemplate t in new[] { shaded, wide })
            Assert.Equal(0.006 + 0.05 * t.MisfitShare, Math.Sqrt(t.CentreUMm * t.CentreUMm - t.LightUMm * t.LightUMm), 6);
    }

    /// <summary>With no outside source: the correction for the lit flank grows with the shadow, keeps to the side the shadow darkens less, and is none in even light.</summary>
    [Fact]
    public void LitFlank_IsCorrectedTowardsTheShadowsLikeness()
    {
        double At(double shadow) => ThreadTemplate.Learn(Profile(u => 10 * (ThreadTemplate.Bar(u, 0.35, 0.1) + shadow * Math.Tanh(u / ThreadTemplate.ShadowScaleMm)))).LitFlankMm;
        Assert.Equal(0, At(0.2), 6);
        Assert.Equal(0.08, At(1.5), 3);
        Assert.Equal(-0.08, At(-1.5), 3);
        Assert.InRange(At(0.85), 0.02, 0.06);
    }

    /// <summary>Abramowitz and Stegun, Handbook of Mathematical Functions, table 7.1 (values from memory): erf(0.5) = 0.5204999, erf(1) = 0.8427008.</summary>
    [Theory]
    [InlineData(0.5, 0.5204999)]
    [InlineData(1.0, 0.8427008)]
    [InlineData(-1.0, -0.8427008)]
    public void Erf_AgreesWithTheTable(double x, double expected) => Assert.Equal(expected, ThreadTemplate.Erf(x), 6);

    [Fact]
    public void SlopeOfTemplate_IsTheDerivative()
    {
        var t = new ThreadTemplate(0, 0.3, 0.12, 0, 0, 0);
        const double h = 1e-4;
        for (double u = -0.5; u <= 0.5; u += 0.1)
            Assert.Equal((t.At(u + h) - t.At(u - h)) / (2 * h), t.SlopeAt(u), 2);
    }
}
