namespace Analyzer.Vision.Tracing;

/// <summary>What makes single places of a line less sure than its usual noise: print, lint or a thread end in the profile, rough ground beside it.</summary>
internal static class PlaceDoubt
{
    /// <summary>Movement of the apparent middle by a disturbance as tall as the thread, mm; and from how many times the usual remainder on there is one.</summary>
    private const double AsTallMm = 0.3, Disturbed = 1.3;

    /// <summary>
    /// How far something else in the profile than the thread may move its apparent middle at every step, mm: what the fit leaves there beyond what it usually
    /// leaves, over the thread's height. The scale comes from comparison with known truth of two unrelated photo makers.
    /// </summary>
    /// <param name="height">The thread's height at every step, averaged along.</param>
    public static double[] Disturbance(ThreadFit fit, double[] centre, double[] height)
    {
        double[] left = fit.Left(centre), weight = [.. left.Select(l => double.IsFinite(l) ? 1.0 : 0)], seen = [.. left.Select(l => double.IsFinite(l) ? l : 0)];
        double[] mean = new double[left.Length], support = new double[left.Length];
        new AlongFilter(1).Apply(seen, weight, mean, support);
        double usual = UpperMedian.Of(mean.Where((_, i) => support[i] > 0.3)), usualHeight = UpperMedian.Of(height.Where((_, i) => support[i] > 0.3));
        return [.. mean.Select((m, i) => support[i] > 0.1 && usualHeight > 0 ? AsTallMm * Math.Sqrt(Math.Max(0, m - Disturbed * usual)) / Math.Max(height[i], 0.3 * usualHeight) : 0)];
    }

    /// <summary>By what factor a place is less sure because the ground on both sides of it is rougher than along the rest of the line.</summary>
    public static double[] Roughness(GroundNoise ground, int steps)
    {
        double[] square = new double[steps], weight = new double[steps], mean = new double[steps], support = new double[steps];
        for (int i = 0; i < steps; i++)
        {
            int seen = 0;
            foreach (double[] side in ground.Sides)
            {
                if (!double.IsFinite(side[i])) continue;
                square[i] += side[i] * side[i];
                seen++;
            }
            if (seen == 0) continue;
            square[i] /= seen;
            weight[i] = 1;
        }
        new AlongFilter(2).Apply(square, weight, mean, support);
        return [.. mean.Select((m, i) => support[i] > 0.1 && ground.ShiftSigma > 0 ? Math.Sqrt(Math.Sqrt(Math.Max(1, Math.Sqrt(m) / ground.ShiftSigma))) : 1)];
    }
}
