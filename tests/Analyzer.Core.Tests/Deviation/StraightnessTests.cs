using Analyzer.Core.Deviation;

namespace Analyzer.Core.Tests.Deviation;

/// <summary>ISO 12780-1 parameters; external checks A1 to A3 (worked numbers recomputed with numpy and scipy).</summary>
public sealed class StraightnessTests
{
    /// <summary>The checks are printed to nine decimals of a millimetre.</summary>
    private const double Printed = 6e-10;

    private static readonly double[] A3Along = [.. Enumerable.Range(0, 20).Select(i => 12.7 * i)];

    private static readonly double[] A3Deviation =
        [0.12, 0.31, -0.05, 0.22, 0.48, 0.37, 0.61, 0.15, -0.20, -0.33, -0.41, -0.12, 0.05, 0.28, 0.55, 0.72, 0.39, 0.10, -0.08, 0.26];

    /// <summary>External check A2, exact by hand.</summary>
    [Fact]
    public void Straightness_OfFiveZigzagPoints_IsExactByHand()
    {
        double[] x = [0, 1, 2, 3, 4], y = [0, 1, 0, 1, 0];
        Straightness s = Straightness.Of(x, y);
        Assert.Equal(0.4, s.Reference.InterceptMm, 12);
        Assert.Equal(0, s.Reference.Slope, 12);
        Assert.Equal(0.6, s.PeakMm, 12);
        Assert.Equal(0.4, s.ValleyMm, 12);
        Assert.Equal(1.0, s.TotalMm, 12);
        Assert.Equal(Math.Sqrt(0.24), s.RmsMm, 12);
        MinimumZoneLine zone = MinimumZoneLine.Fit(x, y);
        Assert.Equal(1.0, zone.WidthMm, 12);
        Assert.Equal(0, zone.Slope, 12);
    }

    /// <summary>External check A3, vertical least squares (numpy lstsq).</summary>
    [Fact]
    public void Straightness_OfTwentyPoints_MatchesNumpyVertical()
    {
        Straightness s = Straightness.Of(A3Along, A3Deviation);
        Assert.Equal(0.156, s.Reference.InterceptMm, Printed);
        Assert.Equal(0.000124326564443, s.Reference.Slope, 1e-14);
        Assert.Equal(0.540315789, s.PeakMm, Printed);
        Assert.Equal(0.581789474, s.ValleyMm, Printed);
        Assert.Equal(1.122105263, s.TotalMm, Printed);
        Assert.Equal(0.300509742, s.RmsMm, Printed);
        Assert.Equal(0.316765082, s.RmsMm * Math.Sqrt(20.0 / 18), Printed);
    }

    /// <summary>External check A3, orthogonal least squares (SVD of the centred points).</summary>
    [Fact]
    public void Straightness_OfTwentyPoints_MatchesSvdOrthogonal()
    {
        Straightness s = Straightness.Of(A3Along, A3Deviation, LineFitKind.Orthogonal);
        Assert.Equal(0.000124328658021, s.Reference.Slope, 1e-14);
        Assert.Equal(0.007123507, s.Reference.AngleRad * 180 / Math.PI, Printed);
        Assert.Equal(0.540315639, s.PeakMm, Printed);
        Assert.Equal(0.581789482, s.ValleyMm, Printed);
        Assert.Equal(1.122105122, s.TotalMm, Printed);
        Assert.Equal(0.300509740, s.RmsMm, Printed);
    }

    /// <summary>External check A3, minimum zone (scipy ConvexHull and linprog).</summary>
    [Fact]
    public void MinimumZone_OfTwentyPoints_MatchesHullAndLinearProgram()
    {
        MinimumZoneLine zone = MinimumZoneLine.Fit(A3Along, A3Deviation);
        Assert.Equal(1.068888394, zone.WidthMm, Printed);
        Assert.Equal(0.000962379702537, zone.Slope, 1e-14);
        Assert.Equal((6, 15, 10), (zone.EdgeFrom, zone.EdgeTo, zone.Opposite));
        Assert.Equal(0.61 + 4 * 0.11 / 9 + 0.41, zone.VerticalWidthMm, 12);
    }

    /// <summary>External check A1: STRt(MZLI) is never above STRt(LSLI); here over seeded random profiles against every pair of points tried.</summary>
    [Fact]
    public void MinimumZone_OfRandomProfiles_IsNeverWiderThanLeastSquaresAndMatchesExhaustiveSearch()
    {
        var random = new Random(7);
        for (int run = 0; run < 50; run++)
        {
            double[] x = [.. Enumerable.Range(0, 15).Select(i => i + 0.5 * random.NextDouble())];
            double[] y = [.. x.Select(_ => random.NextDouble())];
            double width = MinimumZoneLine.Fit(x, y).WidthMm;
            Assert.True(width <= Straightness.Of(x, y, LineFitKind.Orthogonal).TotalMm + 1e-12);
            Assert.Equal(ExhaustiveWidth(x, y), width, 1e-12);
        }
    }

    private static double ExhaustiveWidth(double[] x, double[] y)
    {
        double best = double.PositiveInfinity;
        for (int a = 0; a < x.Length; a++)
            for (int b = a + 1; b < x.Length; b++)
            {
                double dx = x[b] - x[a], dy = y[b] - y[a], length = Math.Sqrt(dx * dx + dy * dy);
                double[] d = [.. x.Select((_, i) => (dx * (y[i] - y[a]) - dy * (x[i] - x[a])) / length)];
                best = Math.Min(best, d.Max() - d.Min());
            }
        return best;
    }

    /// <summary>Analytic: a cosine of amplitude A over whole periods has STRt = 2A and STRq = A/√2.</summary>
    [Fact]
    public void Straightness_OfCosineLine_IsTwiceAmplitude()
    {
        double[] x = [.. Enumerable.Range(0, 400).Select(i => i * 0.5)];
        double[] y = [.. x.Select(v => 0.3 * Math.Cos(2 * Math.PI * (v + 0.25) / 50))];
        Straightness s = Straightness.Of(x, y);
        Assert.Equal(0.6, s.TotalMm, 1e-3);
        Assert.Equal(0.3 / Math.Sqrt(2), s.RmsMm, 1e-4);
    }
}
