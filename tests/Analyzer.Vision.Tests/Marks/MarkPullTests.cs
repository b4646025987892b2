using Analyzer.Vision.Marks;
using Analyzer.Vision.Tests.Tracing;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Marks;

/// <summary>A mark widens the uncertainty of the thread it lies under, and leaves alone the thread it lies far from (root sum of squares: JCGM 100, 5.1.2).</summary>
public sealed class MarkPullTests
{
    private static TracedLine Widened(double markMm)
    {
        TracedLine line = StrayPartsTests.Line([.. Enumerable.Range(1, 100).Select(i => ((double)i, 0.0))]) with { CommonUMm = 0.01 };
        double[] along = [.. Enumerable.Range(0, 34).Select(i => 3.0 * i)];
        var mark = new TracedMark { LineId = line.Line.Id, AlongMm = along, DeviationMm = [.. along.Select(_ => markMm)], SigmaMm = [.. along.Select(_ => 0.05)], CorrelationMm = 6, CommonUMm = 0.06 };
        return MarkPull.Widened([line], new BlockMarks([mark], 0.5, 30))[0]!;
    }

    [Fact]
    public void MarkUnderTheThread_Widens()
    {
        TracedLine line = Widened(0);
        Assert.All(line.SigmaMm, u => Assert.Equal(Math.Sqrt(0.05 * 0.05 + 0.04 * 0.04), u, 9));
        Assert.Equal(Math.Sqrt(0.01 * 0.01 + 0.03 * 0.03), line.CommonUMm, 9);
    }

    [Fact]
    public void MarkFarFromTheThread_DoesNot()
    {
        TracedLine line = Widened(2.5);
        Assert.All(line.SigmaMm, u => Assert.Equal(0.05, u, 4));
        Assert.Equal(0.01, line.CommonUMm, 4);
    }
}
