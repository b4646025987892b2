namespace Analyzer.Core.Deviation;

/// <summary>How straight a thread guided by hand is over a few millimetres: what a short straight piece of it leaves out.</summary>
internal static class HandCourse
{
    /// <summary>Half lengths of thread that are tried as straight pieces, mm: from a third of a stitch to a stitch and a half each way.</summary>
    public static readonly double[] HalfWindowsMm = [0.8, 1.2, 1.6, 2.4, 3.2];

    /// <summary>
    /// Distance of the thread's middle from the mean of the piece ± 1.6 mm around it, root mean square, mm; grows with this power of the piece's length.
    /// From the true courses of three unrelated makers of photos: 0.020 to 0.023 mm at ± 1 mm, 0.037 to 0.050 at ± 2, 0.055 to 0.077 at ± 3.
    /// </summary>
    private const double BendMm = 0.036, AtMm = 1.6, Power = 1.5;

    public static double BendUMm(double halfWindowMm) => BendMm * Math.Pow(halfWindowMm / AtMm, Power);
}
