namespace Analyzer.Core.Deviation;

/// <summary>How a thread guided by hand runs over a few millimetres: its slope wanders by chance.</summary>
internal static class HandCourse
{
    /// <summary>
    /// Distance of the thread's middle from the mean of the piece ± 1.6 mm around it, root mean square, mm. From the true courses of three unrelated makers of photos: 0.020 to 0.023 mm at ± 1 mm, 0.037 to 0.050 at ± 2, 0.055 to 0.077
    /// at ± 3: a little smoother over the longer pieces than a slope that takes a random walk, by whose rule it would grow with the power 1.5.
    /// </summary>
    private const double BendMm = 0.036, AtMm = 1.6;

    /// <summary>Variance the slope gains per millimetre: of an integrated random walk of density q the middle lies off the mean of ± h by √(q h³/40).</summary>
    public const double SlopeVariancePerMm = 40 * BendMm * BendMm / (AtMm * AtMm * AtMm);
}
