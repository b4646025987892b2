using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>When the net's word that the thread lies beside the lines that were followed counts. Truth: the rule as it is written in DEVELOPERS.md.</summary>
public sealed class BlockTracesTests
{
    [Theory]
    [InlineData(true, 0.1, -3, 0.5, true)]
    [InlineData(false, 0.1, -3, 0.5, false)] // The lines lie where the net sees the thread.
    [InlineData(true, 0.3, -3, 0.5, false)] // Even stitches show along what was followed.
    [InlineData(true, 0.1, 2, 0.5, false)] // The net calls it sewn.
    [InlineData(true, 0.1, -3, 0.05, false)] // It sees hardly any thread at all: marks alone, which is said in other words.
    public void MayLieBesideThread_NeedsMoreThanTheNet(bool elsewhere, double dashes, double logOdds, double threadShare, bool expected)
    {
        var traces = new BlockTraces
        {
            Lines = [],
            Seen = [],
            Classes = [new ClassScore("colour 1", 6, 1, 5, dashes, 2, 1, 0.2)],
            LogOdds = [logOdds, logOdds, logOdds, logOdds],
            ThreadShare = threadShare,
            LieElsewhere = elsewhere,
        };
        Assert.Equal(expected, traces.MayLieBesideThread);
    }
}
