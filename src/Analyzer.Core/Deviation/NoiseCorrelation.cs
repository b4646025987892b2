namespace Analyzer.Core.Deviation;

/// <summary>How the measuring noise of neighbouring samples hangs together: a white part and an exponentially fading part.</summary>
/// <remarks>ρ(0) = 1, ρ(d) = (1 - WhiteShare)·exp(-d/LengthMm). Length 0 means independent samples.</remarks>
/// <param name="LengthMm">Distance over which the correlated part falls to 1/e, mm.</param>
/// <param name="WhiteShare">Share of the variance that is independent from sample to sample, 0..1.</param>
public readonly record struct NoiseCorrelation(double LengthMm, double WhiteShare = 0)
{
    /// <summary>Beyond this many lengths the correlation (under 0.07 %) is left out.</summary>
    private const double ReachInLengths = 7.3;

    public double ReachMm => LengthMm * ReachInLengths;

    public double Rho(double distanceMm)
    {
        double d = Math.Abs(distanceMm);
        if (d == 0) return 1;
        return LengthMm > 0 ? (1 - WhiteShare) * Math.Exp(-d / LengthMm) : 0;
    }

    /// <summary>The sum over all pairs of a_i σ_i ρ_ij σ_j b_j: the covariance of two linear estimates Σ a y and Σ b y.</summary>
    public double Covariance(IReadOnlyList<double> alongMm, IReadOnlyList<double> sigmaMm, IReadOnlyList<double> a, IReadOnlyList<double> b)
    {
        double sum = 0, reach = ReachMm;
        int n = alongMm.Count;
        double[] x = Plain(alongMm), sigma = Plain(sigmaMm), p = Plain(a), q = Plain(b);
        var rho = new RhoTable(this, stackalloc double[RhoTable.Size]);
        for (int i = 0; i < n; i++)
        {
            double ai = p[i] * sigma[i], bi = q[i] * sigma[i];
            sum += ai * bi;
            for (int j = i + 1; j < n && x[j] - x[i] < reach; j++)
                sum += rho.At(x[j] - x[i]) * sigma[j] * (ai * q[j] + bi * p[j]);
        }
        return sum;
    }

    internal static double[] Plain(IReadOnlyList<double> values) => values as double[] ?? [.. values];
}

/// <summary>Correlations that were asked for already: samples lie at whole eighths of a millimetre, so the same few distances come up again and again.</summary>
internal readonly ref struct RhoTable
{
    /// <summary>Entries of the table: up to 32 mm.</summary>
    public const int Size = 256;

    private const double StepsAMm = 8;

    private readonly NoiseCorrelation _noise;
    private readonly Span<double> _known;

    public RhoTable(NoiseCorrelation noise, Span<double> table)
    {
        _noise = noise;
        _known = table;
        table.Fill(double.NaN);
    }

    public double At(double distanceMm)
    {
        double steps = Math.Abs(distanceMm) * StepsAMm;
        if (!(steps < Size) || steps != (int)steps) return _noise.Rho(distanceMm);
        ref double known = ref _known[(int)steps];
        if (double.IsNaN(known)) known = _noise.Rho(distanceMm);
        return known;
    }
}
