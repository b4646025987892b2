using Analyzer.Vision.Corners;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Truth: the same mean summed position by position, at the least and the most energy within the rounding.</summary>
public class CourseSumsTests
{
    private const int Positions = 160, Across = 121;
    private const double StepMm = 0.1, MostSlopeMm = 6;

    /// <summary>Places a course may stray by: a slope is rounded by 0.075 mm at a stretch's ends, a place and a shift by 0.05 mm each.</summary>
    private const int Stray = 2;

    [Fact]
    public void Along_AnyCourse_IsTheMeanAlongItAsNearAsItIsRounded()
    {
        var energy = new float[Positions * Across];
        for (int i = 0; i < Positions; i++)
            for (int a = 0; a < Across; a++)
            {
                double offset = (a - (Across - 1) / 2.0) * StepMm, seam = 1.5 - 0.01 * i;
                energy[i * Across + a] = (float)(6 * Math.Exp(-(offset - seam) * (offset - seam) / (2 * 0.4 * 0.4)));
            }
        int[] at = [.. Enumerable.Range(0, Positions).Where(i => i % 3 == 0)];
        double[] s = [.. at.Select(i => 2.0 * i / (Positions - 1) - 1)];
        var sums = new CourseSums(energy, Across, StepMm, at, s, MostSlopeMm);
        double most = 0;
        for (double c0 = -2; c0 <= 2; c0 += 0.37)
            for (double c1 = -2; c1 <= 2; c1 += 0.41)
                for (double c2 = -1; c2 <= 1; c2 += 0.5)
                {
                    int Place(int k) => (int)Math.Round((Across - 1) / 2.0 + (c0 + c1 * s[k] + c2 * (s[k] * s[k] - 1 / 3.0)) / StepMm);
                    IEnumerable<float> Near(int k) => energy.Skip(at[k] * Across + Place(k) - Stray).Take(2 * Stray + 1);
                    double least = Enumerable.Range(0, at.Length).Average(k => Near(k).Min()), top = Enumerable.Range(0, at.Length).Average(k => Near(k).Max());
                    most = Math.Max(most, least);
                    Assert.InRange(sums.Along(c0, c1, c2), least, top);
                }
        Assert.True(most > 3, "no course of the test followed the seam");
    }
}
