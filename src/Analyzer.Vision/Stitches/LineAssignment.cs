using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Stitches;

/// <summary>Which seen line is which intended line, decided for a whole family at once.</summary>
/// <remarks>
/// The lines of a family keep their order, so the best set of pairs is found by dynamic programming over both lists. A pair earns its strength and pays for
/// its distance and its tilt; a line may be up to 0.48 of the spacing off its place. What is left over is missing or extra.
/// </remarks>
internal static class LineAssignment
{
    public const double FarthestShare = 0.48;

    private const double StrengthWorth = 3, DistancePrice = 2.2;

    /// <summary>
    /// Price of a line tilted by the whole angle window: what is tilted so far is mostly an edge that runs another way. A grid turned as a whole pays it for every line alike.
    /// </summary>
    private const double TiltPrice = 0.8;

    /// <summary>For each intended line of the family (in the order given) the seen line, or null.</summary>
    /// <param name="nearIsBetter">Whether a line pays for its distance from its place.</param>
    public static HoughLine?[] Assign(IReadOnlyList<GridLine> intended, LineFamily family, IReadOnlyList<HoughLine> seen, bool nearIsBetter = true)
    {
        var result = new HoughLine?[intended.Count];
        if (seen.Count == 0 || intended.Count == 0) return result;
        int[] order = [.. Enumerable.Range(0, intended.Count).OrderBy(i => intended[i].Index)];
        HoughLine[] sorted = [.. seen.OrderBy(s => s.AcrossMm)];
        double typical = Typical(seen, intended.Count);
        int n = order.Length, m = sorted.Length;
        var best = new double[n + 1, m + 1];
        var taken = new byte[n + 1, m + 1];
        for (int i = 1; i <= n; i++)
            for (int j = 1; j <= m; j++)
            {
                (best[i, j], taken[i, j]) = best[i - 1, j] >= best[i, j - 1] ? (best[i - 1, j], (byte)1) : (best[i, j - 1], (byte)2);
                double pair = best[i - 1, j - 1] + Worth(intended[order[i - 1]], family, sorted[j - 1], typical, nearIsBetter ? DistancePrice : 0);
                if (pair > best[i, j]) (best[i, j], taken[i, j]) = (pair, 3);
            }
        for (int i = n, j = m; i > 0 && j > 0;)
        {
            if (taken[i, j] == 3) result[order[--i]] = sorted[--j];
            else if (taken[i, j] == 1) i--;
            else j--;
        }
        return result;
    }

    private static double Worth(GridLine line, LineFamily family, HoughLine seen, double typical, double distancePrice)
    {
        double along = (family.Along(line.From) + family.Along(line.To)) / 2;
        double off = (seen.AcrossAt(along) - family.AcrossOfLine(line.Index)) / family.SpacingMm;
        if (Math.Abs(off) > FarthestShare) return double.NegativeInfinity;
        double share = off / FarthestShare, tilt = seen.Slope / HoughLines.SteepestSlope;
        return StrengthWorth * Math.Min(1, seen.Strength / typical) - distancePrice * share * share - TiltPrice * tilt * tilt;
    }

    /// <summary>Strength of a usual line: the median of as many of the strongest as there are intended lines.</summary>
    public static double Typical(IReadOnlyList<HoughLine> seen, int count)
    {
        double[] top = [.. seen.Select(s => s.Strength).OrderDescending().Take(count)];
        return top.Length == 0 ? 1 : Math.Max(top[top.Length / 2], 1e-6);
    }
}
