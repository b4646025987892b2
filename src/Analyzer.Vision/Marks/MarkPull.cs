using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Marks;

/// <summary>A mark that lies under or close beside the thread draws the thread's apparent place a little towards itself: that much is uncertain.</summary>
/// <remarks>How much was taken from comparing with known truth in photos of two unrelated photo makers.</remarks>
public static class MarkPull
{
    private const double PlaceMm = 0.04, LineMm = 0.03, ReachMm = 0.6;

    public static IReadOnlyList<TracedLine?> Widened(IReadOnlyList<TracedLine?> lines, BlockMarks marks)
    {
        Dictionary<string, TracedMark> byLine = marks.Marks.ToDictionary(m => m.LineId);
        return [.. lines.Select(l => l is not null && l.AlongMm.Length > 0 && byLine.TryGetValue(l.Line.Id, out TracedMark? mark) ? Widened(l, mark) : l)];
    }

    private static TracedLine Widened(TracedLine line, TracedMark mark)
    {
        double[] near = [.. line.AlongMm.Select((s, i) => Nearness(mark, s, line.DeviationMm[i]))];
        double common = LineMm * near.Average();
        return line with
        {
            SigmaMm = [.. line.SigmaMm.Select((u, i) => TracedLine.Joined(u, PlaceMm * near[i]))],
            FineSigmaMm = [.. line.FineSigmaMm.Select((u, i) => TracedLine.Joined(u, PlaceMm * Nearness(mark, line.FineAlongMm[i], line.FineDeviationMm[i])))],
            CommonUMm = TracedLine.Joined(line.CommonUMm, common),
        };
    }

    /// <summary>1 where the mark lies under the thread, falling off beside it.</summary>
    private static double Nearness(TracedMark mark, double alongMm, double deviationMm)
    {
        int i = Array.BinarySearch(mark.AlongMm, alongMm);
        if (i < 0) i = Math.Clamp(~i, 1, mark.AlongMm.Length - 1);
        if (i > 0 && Math.Abs(mark.AlongMm[i - 1] - alongMm) < Math.Abs(mark.AlongMm[i] - alongMm)) i--;
        double apart = (deviationMm - mark.DeviationMm[i]) / ReachMm;
        return Math.Exp(-apart * apart);
    }
}
