namespace Analyzer.Practice.Statistics;

/// <summary>How much data a question needs.</summary>
public static class SampleNeeds
{
    /// <summary>Lines in each of two blocks to see a change of mean wobble with 80 % power at 5 % (normal formula).</summary>
    /// <param name="changeShare">0.2 for a fifth less.</param>
    /// <param name="logSd">Spread of ln(RMS) from line to line.</param>
    public static int LinesPerBlock(double changeShare, double logSd) =>
        (int)Math.Ceiling(2 * Math.Pow((1.96 + 0.8416) * logSd / Math.Log(1 - changeShare), 2));

    /// <summary>Independent values that n autocorrelated ones are worth for their mean, lag-1 correlation r.</summary>
    public static double EffectiveForMean(double n, double r) => n * (1 - r) / (1 + r);

    /// <summary>The same for their variance: n(1-r²)/(1+r²).</summary>
    public static double EffectiveForVariance(double n, double r) => n * (1 - r * r) / (1 + r * r);
}
