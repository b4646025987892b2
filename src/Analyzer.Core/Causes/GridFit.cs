using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Statistics;

namespace Analyzer.Core.Causes;

/// <summary>Finds angle, spacing and place of each family of parallel lines among found lines.</summary>
/// <remarks>
/// Families: directions grouped with a gap of <see cref="FamilyGapDeg"/>. Spacing: every difference of two lines over 1 to 6 is tried; lines are given whole
/// numbers, and the spacing wins that is likeliest against lines placed at random, one line in ten being allowed to be a stray; this prefers the
/// largest spacing that explains the lines. Then place and spacing by least squares on those whole numbers, far-off lines left out.
/// </remarks>
public static class GridFit
{
    public const double FamilyGapDeg = 6;

    /// <summary>Finest spacing looked for, and the scatter that hand-set rulers have at least: a luckier fit of a few lines is luck.</summary>
    private const double SmallestSpacingMm = 4, SmallestMisfitMm = 0.2;

    /// <summary>Log-likelihood per line against random places below which lines are not called regular.</summary>
    private const double SmallestGain = 1.0;

    /// <summary>Share of lines that may be strays (a repair, a seam taken for a line).</summary>
    private const double StrayShare = 0.1;

    public static FittedGrid Fit(IReadOnlyList<FoundLine> lines, BlockSize size) =>
        new([.. Directions(lines).Where(g => g.Count >= 2).Select(g => FitFamily(g, size)).OrderBy(f => -f.Lines.Sum(l => l.LengthMm))]);

    private static List<List<FoundLine>> Directions(IReadOnlyList<FoundLine> lines)
    {
        FoundLine[] sorted = [.. lines.OrderBy(l => l.AngleDeg)];
        var groups = new List<List<FoundLine>>();
        foreach (FoundLine line in sorted)
        {
            if (groups.Count == 0 || line.AngleDeg - groups[^1][^1].AngleDeg > FamilyGapDeg) groups.Add([]);
            groups[^1].Add(line);
        }
        // Directions are a circle: the first and the last group may be one around the vertical.
        if (groups.Count > 1 && groups[0][0].AngleDeg + 180 - groups[^1][^1].AngleDeg <= FamilyGapDeg)
        {
            groups[^1].AddRange(groups[0]);
            groups.RemoveAt(0);
        }
        return groups;
    }

    private static FittedFamily FitFamily(List<FoundLine> lines, BlockSize size)
    {
        double reference = lines.MaxBy(l => l.LengthMm)!.AngleDeg;
        double[] turn = [.. lines.Select(l => FittedFamily.Fold(l.AngleDeg - reference))];
        // The direction of a line is as sure as it is long.
        double[] weight = [.. lines.Select(l => l.LengthMm)];
        double centre = WeightedMedian(turn, weight), sum = 0, sw = 0, scatter = 0;
        for (int i = 0; i < turn.Length; i++)
        {
            if (Math.Abs(turn[i] - centre) > FamilyGapDeg / 2) continue;
            sum += weight[i] * turn[i];
            sw += weight[i];
        }
        double mean = sum / sw;
        for (int i = 0; i < turn.Length; i++)
            if (Math.Abs(turn[i] - centre) <= FamilyGapDeg / 2) scatter += weight[i] * weight[i] * (turn[i] - mean) * (turn[i] - mean);
        double angle = FittedFamily.Fold(reference + mean), angleU = Math.Max(0.01, Math.Sqrt(scatter) / sw);

        var axis = new LineFamily(angle, 10, new BlockPoint(size.WidthMm / 2, size.HeightMm / 2));
        double[] across = [.. lines.Select(l => axis.Across(l.Middle) - axis.Across(axis.Through))];
        double? spacing = lines.Count >= 3 ? BestSpacing(across) : null;
        if (spacing is null)
        {
            double nearest = across.MinBy(Math.Abs);
            return new FittedFamily(angle, angleU, null, null, axis.At(axis.Along(axis.Through), axis.Across(axis.Through) + nearest), lines[0].UMm, double.NaN, lines);
        }
        return Regular(lines, axis, across, spacing.Value, angleU);
    }

    private static double WeightedMedian(double[] values, double[] weights)
    {
        int[] order = [.. Enumerable.Range(0, values.Length).OrderBy(i => values[i])];
        double half = weights.Sum() / 2, sum = 0;
        foreach (int i in order)
        {
            sum += weights[i];
            if (sum >= half) return values[i];
        }
        return values[order[^1]];
    }

    /// <summary>Lines this many places apart in a long family are not compared: what they could tell, nearer ones tell too.</summary>
    private const int FarthestPair = 24;

    private static double? BestSpacing(double[] found)
    {
        double[] across = found.Length > FarthestPair ? [.. found.Order()] : found;
        double bestGain = double.NegativeInfinity, best = 0;
        for (int i = 0; i < across.Length; i++)
        {
            for (int j = Math.Max(0, i - FarthestPair); j < i; j++)
            {
                for (int k = 1; k <= 6; k++)
                {
                    double spacing = Math.Abs(across[i] - across[j]) / k;
                    if (spacing < SmallestSpacingMm) break;
                    (double refined, double gain) = Gain(across, spacing, across[i]);
                    if (gain <= bestGain + 1e-9) continue;
                    (bestGain, best) = (gain, refined);
                }
            }
        }
        return best > 0 && bestGain >= SmallestGain * across.Length ? best : null;
    }

    /// <summary>Least-squares spacing on whole numbers counted from a line, and the log-likelihood of all lines against random places.</summary>
    private static (double Spacing, double Gain) Gain(double[] across, double spacing, double origin)
    {
        double place = origin;
        for (int turn = 0; turn < 3; turn++)
        {
            double n = 0, sk = 0, sa = 0, skk = 0, ska = 0;
            foreach (double a in across)
            {
                double k = Math.Round((a - place) / spacing);
                if (Math.Abs(a - place - k * spacing) > 0.2 * spacing) continue;
                n++;
                sk += k;
                sa += a;
                skk += k * k;
                ska += k * a;
            }
            double det = n * skk - sk * sk;
            if (!(det > 0)) return (spacing, double.NegativeInfinity);
            double next = (n * ska - sk * sa) / det;
            if (!(next > SmallestSpacingMm * 0.9)) return (spacing, double.NegativeInfinity);
            place = (sa - next * sk) / n;
            spacing = next;
        }
        double[] miss = [.. across.Select(a => Math.Abs(a - place - spacing * Math.Round((a - place) / spacing)))];
        double scatter = Math.Clamp(1.4826 * Moments.Median(miss), SmallestMisfitMm, 0.1 * spacing);
        double gain = miss.Sum(r => Math.Log((1 - StrayShare) * spacing / scatter * NormalDistribution.Density(r / scatter) + StrayShare));
        return (spacing, gain);
    }

    private static FittedFamily Regular(List<FoundLine> lines, LineFamily axis, double[] across, double spacing, double angleU)
    {
        double place = across.OrderBy(a => across.Sum(b => Math.Pow((b - a) / spacing - Math.Round((b - a) / spacing), 2))).First();
        double limit = 0.3 * spacing;
        LinearLeastSquares? fit = null;
        for (int turn = 0; turn < 3; turn++)
        {
            double[] kept = [.. across.Where(a => Math.Abs(a - place - spacing * Math.Round((a - place) / spacing)) <= limit)];
            double[] index = [.. kept.Select(a => Math.Round((a - place) / spacing))];
            if (kept.Length < 3 || index.Distinct().Count() < 2) break;
            // Numbers are counted from the line nearest the middle of the block, where place and spacing hardly correlate.
            double middle = Math.Round(-place / spacing);
            fit = LinearLeastSquares.Fit([.. index.Select(k => new[] { 1, k - middle })], kept);
            (place, spacing) = (fit.Coefficients[0], fit.Coefficients[1]);
            limit = Math.Max(0.1 * spacing, 3 * Math.Max(SmallestMisfitMm, fit.ResidualSd));
        }
        double rms = fit is null ? double.NaN : fit.ResidualSd, own = lines.Average(l => l.UMm) / Math.Sqrt(lines.Count);
        BlockPoint through = axis.At(axis.Along(axis.Through), axis.Across(axis.Through) + place);
        return new FittedFamily(axis.AngleDeg, angleU, spacing, fit is null ? null : Math.Max(fit.CoefficientSd(1), own / lines.Count), through,
            fit is null ? own : Math.Max(fit.CoefficientSd(0), own), rms, lines);
    }
}
