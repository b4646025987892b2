namespace Analyzer.Core.Deviation;

/// <summary>
/// How much a line sways within a few centimetres, r.m.s. in mm. A hand that guides cloth under a needle sways so; a line drawn along a ruler keeps only the long
/// waves that the cloth, the lens or the ruler's own bow give it.
/// </summary>
/// <remarks>
/// What the Gaussian profile filter (ISO 16610-21) of the cut-off leaves over, and of that the covariance of places the lag apart: the noise of single places,
/// which hardly reaches so far, does not count. A hand that jerks from stitch to stitch has turned back by then: half the lag tells it, where it is more than
/// noise could be.
/// </remarks>
public static class HandSway
{
    public const double CutOffMm = 25, LagMm = 2;

    /// <summary>Clearly seen drawn lines of our invented blocks vary together over half the lag by up to 0.064 mm.</summary>
    private const double PlainJerksMm = 0.1;

    /// <summary>Less than this share of it left at the whole lag: the hand has turned back.</summary>
    private const double TurnedBack = 0.1;

    /// <summary>Sway of one line; null where it is shorter than twice the cut-off or has too few places the lag apart.</summary>
    public static double? Of(IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm)
    {
        int n = alongMm.Count;
        if (n < 2 || alongMm[n - 1] - alongMm[0] < 2 * CutOffMm) return null;
        double[] smooth = GaussianProfileFilter.Smooth(alongMm, deviationMm, CutOffMm);
        double[] left = [.. deviationMm.Zip(smooth, (d, s) => d - s)];
        if (AtLag(alongMm, left, LagMm) is not { } sway) return null;
        return AtLag(alongMm, left, LagMm / 2) is { } jerks && jerks > PlainJerksMm && sway < TurnedBack * jerks ? jerks : sway;
    }

    /// <summary>Root of the covariance of places the lag apart; null where there are too few.</summary>
    private static double? AtLag(IReadOnlyList<double> alongMm, double[] left, double lagMm)
    {
        const int fewest = 20;
        double sum = 0, tolerance = 0.3 * LagMm / 2;
        int pairs = 0;
        for (int i = 0; i < left.Length; i++)
            for (int j = i + 1; j < left.Length && alongMm[j] - alongMm[i] <= lagMm + tolerance; j++)
            {
                if (alongMm[j] - alongMm[i] < lagMm - tolerance) continue;
                sum += left[i] * left[j];
                pairs++;
            }
        return pairs < fewest ? null : Math.Sqrt(Math.Max(0, sum / pairs));
    }
}
