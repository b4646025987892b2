namespace Analyzer.Core.Deviation;

/// <summary>
/// How much a line sways within a few centimetres, r.m.s. in mm. A hand that guides cloth under a needle sways so; a line drawn along a ruler keeps only the long
/// waves that the cloth, the lens or the ruler's own bow give it.
/// </summary>
/// <remarks>
/// What the Gaussian profile filter (ISO 16610-21) of the cut-off leaves over, and of that the covariance of places the lag apart: the noise of single places,
/// which hardly reaches so far, does not count.
/// </remarks>
public static class HandSway
{
    public const double CutOffMm = 25, LagMm = 2;

    /// <summary>Sway of one line; null where it is shorter than twice the cut-off or has too few places the lag apart.</summary>
    public static double? Of(IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm)
    {
        const int fewest = 20;
        int n = alongMm.Count;
        if (n < 2 || alongMm[n - 1] - alongMm[0] < 2 * CutOffMm) return null;
        double[] smooth = GaussianProfileFilter.Smooth(alongMm, deviationMm, CutOffMm);
        double sum = 0, tolerance = 0.3 * LagMm / 2;
        int pairs = 0;
        for (int i = 0; i < n; i++)
            for (int j = i + 1; j < n && alongMm[j] - alongMm[i] <= LagMm + tolerance; j++)
            {
                if (alongMm[j] - alongMm[i] < LagMm - tolerance) continue;
                sum += (deviationMm[i] - smooth[i]) * (deviationMm[j] - smooth[j]);
                pairs++;
            }
        return pairs < fewest ? null : Math.Sqrt(Math.Max(0, sum / pairs));
    }
}
