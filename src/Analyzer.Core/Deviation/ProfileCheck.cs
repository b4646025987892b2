namespace Analyzer.Core.Deviation;

/// <summary>Shared checks of profile arguments.</summary>
internal static class ProfileCheck
{
    public static void SameLength(IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, IReadOnlyList<double>? third = null)
    {
        if (alongMm.Count != deviationMm.Count || (third is not null && third.Count != alongMm.Count))
            throw new ArgumentException("Positions, deviations and their weights or uncertainties must be equally many.", nameof(deviationMm));
        if (alongMm.Count < 2)
            throw new ArgumentException("A profile needs at least two samples.", nameof(alongMm));
    }

    public static void Ascending(IReadOnlyList<double> alongMm)
    {
        for (int i = 1; i < alongMm.Count; i++)
            if (!(alongMm[i] > alongMm[i - 1]))
                throw new ArgumentException("Positions along the line must rise from sample to sample.", nameof(alongMm));
    }
}
