using Analyzer.Core.Report;

namespace Analyzer.Reporting.Pictures;

/// <summary>Where the thread of one line runs in the block: intended start + u·along + n·deviation.</summary>
internal static class LinePath
{
    /// <summary>A step along the line longer than this is a gap, mm; nothing is drawn across it.</summary>
    public const double GapMm = 1.6;

    /// <summary>The measured pieces as points in block mm, deviation times the factor.</summary>
    public static List<List<(double X, double Y)>> Pieces(LineReport line, double factor)
    {
        (double ux, double uy) = Along(line);
        var pieces = new List<List<(double X, double Y)>>();
        foreach (List<LineSample> run in Runs(line.Samples))
            pieces.Add([.. run.Select(s => (
                line.FromMm[0] + ux * s.AlongMm - uy * s.DeviationMm * factor,
                line.FromMm[1] + uy * s.AlongMm + ux * s.DeviationMm * factor))]);
        return pieces;
    }

    public static List<List<LineSample>> Runs(IReadOnlyList<LineSample> samples)
    {
        var runs = new List<List<LineSample>>();
        for (int i = 0; i < samples.Count; i++)
        {
            if (i == 0 || samples[i].AlongMm - samples[i - 1].AlongMm > GapMm) runs.Add([]);
            runs[^1].Add(samples[i]);
        }
        return runs;
    }

    /// <summary>Unit vector u from start to end; n is (-uy, ux).</summary>
    public static (double X, double Y) Along(LineReport line)
    {
        double dx = line.ToMm[0] - line.FromMm[0], dy = line.ToMm[1] - line.FromMm[1], length = Math.Sqrt(dx * dx + dy * dy);
        return length > 0 ? (dx / length, dy / length) : (1, 0);
    }

    public static double LengthMm(LineReport line)
    {
        double dx = line.ToMm[0] - line.FromMm[0], dy = line.ToMm[1] - line.FromMm[1];
        return Math.Sqrt(dx * dx + dy * dy);
    }

    public static bool IsSeen(LineReport line) => line.Samples.Count > 0;
}
