using Analyzer.Vision.Learnt;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Learnt;

/// <summary>
/// Where a thread's middle lies in its own cross section. Truth is analytic: a round thread lit from the side by Lambert's cosine law (Lambert, Photometria, 1760; any handbook of optics), worked out here on its own; the net was taught on sections of the same law, drawn by other code.
/// Reference library for the net's numbers: PyTorch 1.13.1 (Debian package python3-torch), the same weights and the same section.
/// </summary>
public sealed class MiddleNetTests(ITestOutputHelper output)
{
    /// <summary>Cross section of a round thread half sunk into flat cloth, with the shadow it throws there, its origin beside the thread's middle by so much, blurred by a Gaussian.</summary>
    private static double[] Section(double originMm, double radiusMm, double thread, double cloth, double fromDeg, double ambient, double blurMm)
    {
        const int fine = 10, margin = 60;
        int n = (MiddleNet.Places - 1) * fine + 1 + 2 * margin;
        double step = MiddleNet.StepMm / fine, tangent = Math.Tan(fromDeg * Math.PI / 180);
        // Rays that touch the thread, its middle half its radius above the cloth, meet the cloth here.
        double shadowEndMm = radiusMm * (0.5 * Math.Abs(tangent) + Math.Sqrt(1 + tangent * tangent));
        var sharp = new double[n];
        for (int i = 0; i < n; i++)
        {
            double x = (i - margin) * step - MiddleNet.ReachMm + originMm, u = x / radiusMm;
            // Light on a surface goes with the cosine of its angle to the light, here over that on the flat cloth; none where it is turned away or in the shadow.
            sharp[i] = Math.Abs(u) < 1 - 1e-9 ? thread * (ambient + (1 - ambient) * Math.Max(0, Math.Sqrt(1 - u * u) + u * tangent))
                : cloth * (-x * Math.Sign(tangent) > 0 && Math.Abs(x) < shadowEndMm ? ambient : 1);
        }
        var result = new double[3 * MiddleNet.Places];
        int reach = (int)Math.Min(margin, 4 * blurMm / step);
        double[] weights = Bell(reach, step, blurMm);
        for (int k = 0; k < MiddleNet.Places; k++)
        {
            double sum = 0;
            for (int j = -reach; j <= reach; j++) sum += weights[j + reach] * sharp[margin + k * fine + j];
            for (int channel = 0; channel < 3; channel++) result[3 * k + channel] = sum / weights.Sum();
        }
        return result;
    }

    private static double[] Bell(int reach, double step, double sdMm) => [.. Enumerable.Range(-reach, 2 * reach + 1).Select(k => Math.Exp(-k * step * k * step / (2 * sdMm * sdMm)))];

    /// <summary>Where a bell of a thread's width fits such a section best, near its origin, mm.</summary>
    private static double StandsOut(double[] section)
    {
        const int reach = 10;
        double[] bell = Bell(reach, MiddleNet.StepMm, 0.15);
        double Height(int k) => Enumerable.Range(-reach, 2 * reach + 1).Sum(j => bell[j + reach] * (section[3 * (k + j)] - section[0]));
        int middle = MiddleNet.Places / 2, best = Enumerable.Range(middle - 6, 13).MaxBy(k => Math.Abs(Height(k)));
        // Between the places by a parabola.
        double below = Height(best - 1), here = Height(best), above = Height(best + 1);
        return (best - middle + 0.5 * (below - above) / (below - 2 * here + above)) * MiddleNet.StepMm;
    }

    /// <summary>Where such a thread stands out beside its middle, and what the net says of a section about that place.</summary>
    private (double StandsMm, double AsideMm, double UMm) Told(double radiusMm, double thread, double cloth, double fromDeg, double blurMm)
    {
        double stands = StandsOut(Section(0, radiusMm, thread, cloth, fromDeg, 0.45, blurMm));
        (double aside, double u) = MiddleNet.Aside(Section(stands, radiusMm, thread, cloth, fromDeg, 0.45, blurMm));
        output.WriteLine($"stands out {stands:0.000} mm beside the middle, told {aside:0.000} +- {u:0.000}");
        return (stands, aside, u);
    }

    [Theory]
    [InlineData(0.15, 0.8, 0.1, 30, 0.09)]
    [InlineData(0.2, 0.8, 0.1, 40, 0.08)]
    [InlineData(0.25, 0.6, 0.2, 35, 0.1)]
    [InlineData(0.2, 0.5, 0.15, 50, 0.1)]
    [InlineData(0.2, 0.6, 0.25, -45, 0.08)]
    public void BrightThreadLitFromTheSide_IsFoundBesideWhatStandsOut(double radiusMm, double thread, double cloth, double fromDeg, double blurMm)
    {
        (double stands, double aside, double u) = Told(radiusMm, thread, cloth, fromDeg, blurMm);
        Assert.True(Math.Abs(stands) > 0.015);
        Assert.InRange(Math.Abs(aside - stands), 0, Math.Abs(stands));
        Assert.InRange(Math.Abs(aside - stands), 0, 2 * u);
    }

    /// <summary>The shadow that a dark thread throws joins it, and how far it reaches the section hardly shows: the middle is sought on the right side, not all the way.</summary>
    [Theory]
    [InlineData(0.2, 0.08, 0.6, 40, 0.09)]
    [InlineData(0.25, 0.1, 0.7, -30, 0.08)]
    public void DarkThreadLitFromTheSide_IsSoughtOnItsLitSide(double radiusMm, double thread, double cloth, double fromDeg, double blurMm)
    {
        (double stands, double aside, _) = Told(radiusMm, thread, cloth, fromDeg, blurMm);
        Assert.True(stands * fromDeg < 0);
        Assert.InRange(Math.Abs(aside - stands), 0, Math.Abs(stands) - 0.003);
    }

    /// <summary>Under light from above, the middle of what stands out is the thread's.</summary>
    [Theory]
    [InlineData(0.8, 0.1)]
    [InlineData(0.06, 0.6)]
    public void ThreadLitFromAbove_IsWhereItStandsOut(double thread, double cloth)
    {
        (double aside, double u) = MiddleNet.Aside(Section(0, 0.2, thread, cloth, 0, 0.45, 0.08));
        Assert.Equal(0, aside, 1e-6);
        Assert.InRange(u, 0.0005, 0.02);
    }

    /// <summary>Wherever the section's origin is put, the same middle comes out.</summary>
    [Fact]
    public void OriginElsewhere_IsTheSameMiddle()
    {
        double[] found = [.. new[] { -0.08, -0.04, 0, 0.04, 0.08 }.Select(at => at - MiddleNet.Aside(Section(at, 0.2, 0.7, 0.15, 40, 0.45, 0.09)).AsideMm)];
        output.WriteLine(string.Join(' ', found.Select(f => f.ToString("0.000", System.Globalization.CultureInfo.InvariantCulture))));
        Assert.InRange(found.Max() - found.Min(), 0, 0.02);
    }

    /// <summary>A section turned about lies aside the other way, as surely.</summary>
    [Fact]
    public void TurnedAbout_IsTheOtherWay()
    {
        double[] section = Section(0.03, 0.2, 0.5, 0.2, 40, 0.4, 0.1), turned = new double[section.Length];
        for (int k = 0; k < MiddleNet.Places; k++) Array.Copy(section, 3 * k, turned, 3 * (MiddleNet.Places - 1 - k), 3);
        (double aside, double u) = MiddleNet.Aside(section);
        (double other, double otherU) = MiddleNet.Aside(turned);
        Assert.Equal(-aside, other, 1e-6);
        Assert.Equal(u, otherU, 1e-6);
    }

    /// <summary>A bell of three heights a little aside on a ground of two levels, as PyTorch says of it.</summary>
    [Theory]
    [InlineData(0.4, 0.2, 0.3, -0.08050, 0.03539)]
    [InlineData(-0.1, 0.15, 0.02, -0.03369, 0.02493)]
    [InlineData(0.05, 0.25, -0.1, -0.01817, 0.06182)]
    public void Aside_GivesTheReferenceLibrarysNumbers(double height, double widthMm, double step, double asideMm, double uMm)
    {
        double[] redFirst = [1, 0.7, 0.4], section = new double[3 * MiddleNet.Places];
        for (int k = 0; k < MiddleNet.Places; k++)
        {
            double x = k * MiddleNet.StepMm - MiddleNet.ReachMm;
            for (int c = 0; c < 3; c++) section[3 * k + 2 - c] = 0.3 + 0.2 * step * Math.Tanh(x / 0.4) + height * redFirst[c] * Math.Exp(-(x - 0.04) * (x - 0.04) / (2 * widthMm * widthMm));
        }
        (double aside, double u) = MiddleNet.Aside(section);
        Assert.Equal(asideMm, aside, 1e-4);
        Assert.Equal(uMm, u, 1e-4);
    }
}
