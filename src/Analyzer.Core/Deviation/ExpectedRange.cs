using Analyzer.Core.Statistics;

namespace Analyzer.Core.Deviation;

/// <summary>Expected peak-to-valley of n independent normal deviations with standard deviation 1: the control-chart constant d2(n).</summary>
/// <remarks>d2(n) = ∫ (1 - Φ(x)^n - (1 - Φ(x))^n) dx (Tippett 1925). A line of pure noise has this much "wobble": never compare STRt of lines with different sample counts.</remarks>
public static class ExpectedRange
{
    public static double D2(double n)
    {
        if (!(n > 1)) return 0;
        // Smooth and vanishing at both ends: the trapezium rule converges faster than any power of the step.
        const double limit = 10, step = 0.05;
        double sum = 0;
        for (double x = -limit; x <= limit; x += step)
        {
            double below = NormalDistribution.Cdf(x), above = NormalDistribution.Cdf(-x);
            sum += 1 - Math.Pow(below, n) - Math.Pow(above, n);
        }
        return sum * step;
    }
}
