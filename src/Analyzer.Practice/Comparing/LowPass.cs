using Analyzer.Core.Deviation;

namespace Analyzer.Practice.Comparing;

/// <summary>Cut-offs of the Gaussian profile filter (ISO 16610-21) as the comparison uses them.</summary>
internal static class LowPass
{
    /// <summary>Two stitches of 2.5 mm: nothing shorter is steering, since the needle makes one lateral choice a stitch.</summary>
    public const double TwoStitchesMm = 5;

    public static double[] Filter(double[] along, double[] values, double cutoffMm) => GaussianProfileFilter.Smooth(along, values, cutoffMm);
}
