namespace Analyzer.Vision.Tracing;

/// <summary>
/// Beside a stretch where the thread was lost to sight the trace may already lie on what hides it: the last sample before the stretch most, those behind it less and less.
/// The amounts were read off the errors of such samples in hard photos of our own and of six unrelated photo makers, which agree about them within a factor of two.
/// </summary>
internal static class GapDoubt
{
    /// <summary>From so much on without a sample, or from the intended line's end to the first one, the thread was lost, mm.</summary>
    private const double LeastGapMm = 3.5;

    /// <summary>Standard uncertainty of the last sample, mm.</summary>
    private const double LastUMm = 0.17;

    /// <summary>Of those behind it, near the stretch, mm, and how far back that falls to a third, mm.</summary>
    private const double NearUMm = 0.1, ReachMm = 5;

    public static TracedLine Added(TracedLine line)
    {
        double[] x = line.AlongMm;
        if (x.Length == 0) return line;
        var edges = new List<double>();
        if (x[0] > LeastGapMm) edges.Add(x[0]);
        for (int i = 0; i + 1 < x.Length; i++)
            if (x[i + 1] - x[i] > LeastGapMm) edges.AddRange([x[i], x[i + 1]]);
        if (line.Line.LengthMm - x[^1] > LeastGapMm) edges.Add(x[^1]);
        if (edges.Count == 0) return line;
        return line with
        {
            SigmaMm = Doubted(x, line.SigmaMm),
            // What is doubted does not show as scatter.
            ScatterMm = line.ScatterMm,
            FineSigmaMm = Doubted(line.FineAlongMm, line.FineSigmaMm),
        };

        double[] Doubted(double[] along, double[] sigma) => [.. sigma.Select((u, i) => TracedLine.Joined(u, DoubtMm(edges.Min(e => Math.Abs(e - along[i])))))];
    }

    private static double DoubtMm(double awayMm) => awayMm < 0.5 ? LastUMm : NearUMm * Math.Exp(-awayMm / ReachMm);
}
