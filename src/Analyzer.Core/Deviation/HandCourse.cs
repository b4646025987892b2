namespace Analyzer.Core.Deviation;

/// <summary>How a thread guided by hand runs over a few millimetres: its slope wanders by chance.</summary>
internal static class HandCourse
{
    /// <summary>
    /// Distance of the thread's middle from the mean of the piece ± 1.6 mm around it, root mean square, mm; it grows with the power 1.5 of the piece's length, as it
    /// does where the slope takes a random walk. From the true courses of three unrelated makers of photos: 0.020 to 0.023 mm at ± 1 mm, 0.037 to 0.050 at ± 2,
    /// 0.055 to 0.077 at ± 3.
    /// </summary>
    private const double BendMm = 0.036, AtMm = 1.6;

    /// <summary>Variance the slope gains per millimetre, 1/mm: of an integrated random walk of density q the middle lies off the mean of ± h by √(q h³/40).</summary>
    public const double SteeringMm = 40 * BendMm * BendMm / (AtMm * AtMm * AtMm);
}
