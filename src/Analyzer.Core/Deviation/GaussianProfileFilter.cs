namespace Analyzer.Core.Deviation;

/// <summary>Gaussian profile filter: the smooth line that keeps wavelengths longer than the cut-off.</summary>
/// <remarks>
/// ISO 16610-21: s(x) = exp(-π (x/(a Lc))²)/(a Lc), a = √(ln 2/π); the mean line keeps 2^-((Lc/L)²) of a wave of length L.
/// Departure: at every position a straight line is fitted with the Gaussian as weight (local linear regression). In an evenly sampled interior
/// that is the standard's filter exactly; at ends and beside gaps it stays true for straight profiles, where the plain filter would bend.
/// A sample counts with the stretch it stands for, at most twice the usual step, so gaps are not filled in.
/// </remarks>
public static class GaussianProfileFilter
{
    /// <summary>a = √(ln 2/π) of ISO 16610-21.</summary>
    public static readonly double A = Math.Sqrt(Math.Log(2) / Math.PI);

    /// <summary>Share of a wave's amplitude that the mean line keeps.</summary>
    public static double Transmission(double cutOffMm, double wavelengthMm) => Math.Pow(2, -(cutOffMm / wavelengthMm) * (cutOffMm / wavelengthMm));

    /// <summary>The mean line (long waves) at the sample positions, mm.</summary>
    public static double[] Smooth(IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, double cutOffMm)
    {
        ProfileCheck.SameLength(alongMm, deviationMm);
        double[] share = Shares(alongMm);
        var smooth = new double[alongMm.Count];
        int first = 0;
        for (int i = 0; i < smooth.Length; i++)
        {
            (first, double[] weights) = Weights(alongMm, share, i, cutOffMm, first);
            double sum = 0;
            for (int k = 0; k < weights.Length; k++) sum += weights[k] * deviationMm[first + k];
            smooth[i] = sum;
        }
        return smooth;
    }

    /// <summary>Waves between two cut-offs: mean line of the short cut-off less mean line of the long one, mm.</summary>
    public static double[] Band(IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, double shortCutOffMm, double longCutOffMm)
    {
        double[] fine = Smooth(alongMm, deviationMm, shortCutOffMm), coarse = Smooth(alongMm, deviationMm, longCutOffMm);
        for (int i = 0; i < fine.Length; i++) fine[i] -= coarse[i];
        return fine;
    }

    /// <summary>Filter weights of one position: number of the first sample used, and the weights from there on (they add up to 1).</summary>
    internal static (int First, double[] Weights) Weights(IReadOnlyList<double> alongMm, double[] share, int at, double cutOffMm, int searchFrom)
    {
        if (!(cutOffMm > 0)) return (at, [1]);
        double x = alongMm[at];
        int first = Math.Min(searchFrom, at), last = at;
        while (alongMm[first] < x - cutOffMm) first++;
        while (last + 1 < alongMm.Count && alongMm[last + 1] <= x + cutOffMm) last++;
        var w = new double[last - first + 1];
        double s0 = 0, s1 = 0, s2 = 0, k = -Math.PI / (A * A * cutOffMm * cutOffMm);
        for (int j = 0; j < w.Length; j++)
        {
            double d = alongMm[first + j] - x;
            w[j] = share[first + j] * Math.Exp(k * d * d);
            s0 += w[j];
            s1 += w[j] * d;
            s2 += w[j] * d * d;
        }
        double det = s0 * s2 - s1 * s1;
        bool line = det > 1e-9 * s0 * s2;
        for (int j = 0; j < w.Length; j++)
            w[j] *= line ? (s2 - s1 * (alongMm[first + j] - x)) / det : 1 / s0;
        return (first, w);
    }

    /// <summary>Stretch that each sample stands for, mm: half way to its neighbours, at most twice the median step.</summary>
    internal static double[] Shares(IReadOnlyList<double> alongMm)
    {
        ProfileCheck.Ascending(alongMm);
        int n = alongMm.Count;
        double[] steps = [.. Enumerable.Range(1, n - 1).Select(i => alongMm[i] - alongMm[i - 1]).Order()];
        double usual = steps[steps.Length / 2];
        var share = new double[n];
        for (int i = 0; i < n; i++)
        {
            double left = i > 0 ? Math.Min(alongMm[i] - alongMm[i - 1], 2 * usual) : usual;
            double right = i < n - 1 ? Math.Min(alongMm[i + 1] - alongMm[i], 2 * usual) : usual;
            share[i] = (left + right) / 2;
        }
        return share;
    }
}
