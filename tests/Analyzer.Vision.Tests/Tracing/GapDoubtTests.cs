using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Samples beside a stretch where the thread was lost are less sure (the amounts come from comparison with rendered truth).</summary>
public sealed class GapDoubtTests
{
    private static IEnumerable<(double, double)> Run(int from, int to) => Enumerable.Range(from, to - from + 1).Select(i => ((double)i, 0.1));

    [Fact]
    public void BesideALostStretch_SamplesAreLessSure_TheLastOneMost()
    {
        TracedLine line = StrayPartsTests.Line([.. Run(1, 60), .. Run(70, 119)]);
        TracedLine doubted = GapDoubt.Added(line);
        Assert.Equal(line.DeviationMm, doubted.DeviationMm);
        double[] u = doubted.SigmaMm;
        int last = Array.IndexOf(doubted.AlongMm, 60);
        Assert.True(u[last] > 0.15 && u[last + 1] > 0.15);
        Assert.True(u[last] > u[last - 1] && u[last - 1] > u[last - 5] && u[last - 5] > u[last - 20]);
        Assert.Equal(line.SigmaMm[0], u[0], 4);
        // Doubt of place, not scatter: straightness is not freed of it.
        Assert.Equal(line.ScatterMm, doubted.ScatterMm);
        Assert.True(doubted.FineSigmaMm[last] > line.FineSigmaMm[last]);
    }

    [Fact]
    public void ALineThatStartsLate_IsDoubtedThere()
    {
        TracedLine doubted = GapDoubt.Added(StrayPartsTests.Line([.. Run(9, 119)]));
        Assert.True(doubted.SigmaMm[0] > 0.15);
        Assert.Equal(0.05, doubted.SigmaMm[^1], 4);
    }

    [Fact]
    public void ALineSeenAllAlong_IsAsSureAsBefore()
    {
        TracedLine line = StrayPartsTests.Line([.. Run(2, 50), .. Run(53, 118)]);
        Assert.Same(line, GapDoubt.Added(line));
    }
}
