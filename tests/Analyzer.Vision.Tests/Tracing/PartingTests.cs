using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Where two kinds of line part, the one that changes along itself is the thread (invented traces; the rule is ours).</summary>
public sealed class PartingTests
{
    private static AlongTrace Along(double change, float strength, Func<double, double> deviation, int to = 100)
    {
        TracedLine line = StrayPartsTests.Line([.. Enumerable.Range(2, to - 1).Select(s => ((double)s, deviation(s)))]);
        return new AlongTrace(line, [.. line.AlongMm.Select(_ => change)], [.. line.AlongMm.Select(_ => strength)]);
    }

    /// <summary>The thread leaves the mark from 40 mm on.</summary>
    private static double Thread(double s) => s < 40 ? 0.1 : 0.7;

    private static Parting Of(double markChange, double threadChange, float markStrength = 20, float threadStrength = 20, int to = 100) =>
        Parting.Sum([Parting.Of(Along(markChange, markStrength, _ => 0, to), Along(threadChange, threadStrength, Thread, to))]);

    [Fact]
    public void OnlyWhatLiesApart_IsCompared()
    {
        Parting part = Of(0.1, 1.5);
        Assert.Equal(99, part.ComparedMm);
        Assert.Equal(61, part.Mm);
        Assert.Equal(0.1, part.Change, 9);
        Assert.Equal(1.5, part.OtherChange, 9);
        Assert.Equal(0, Parting.Of(Along(0.1, 20, Thread), Along(1.5, 20, Thread)).Mm);
    }

    /// <summary>Longer lines count by their length, and where another line crosses nothing does.</summary>
    [Fact]
    public void LinesCountByTheirLength()
    {
        AlongTrace mark = Along(0, 20, _ => 0), thread = Along(1, 20, Thread);
        Array.Fill(thread.Change, double.NaN, 50, 20);
        Parting one = Parting.Of(mark, thread), other = Parting.Of(Along(0.3, 10, _ => 0), Along(2, 10, Thread));
        Assert.Equal(41, one.Mm);
        Assert.Equal(79, one.ComparedMm);
        Parting both = Parting.Sum([one, other]);
        Assert.Equal(102, both.Mm);
        Assert.Equal((41 * 1 + 61 * 2) / 102.0, both.OtherChange, 9);
        Assert.Equal(61 * 0.3 / 102.0, both.Change, 9);
    }

    [Theory]
    [InlineData(0.05, 1.2, 20, 100, true)]
    [InlineData(0.9, 1.2, 20, 100, false)] // the first is sewn as well
    [InlineData(0.05, 0.25, 20, 100, false)] // no more than an uneven ground
    [InlineData(0.05, 1.2, 8, 100, false)] // so much fainter that it may be the cloth's weave
    [InlineData(0.05, 1.2, 20, 55, false)] // on a centimetre and a half
    public void TheOtherIsSewn_WhereItChangesAndTheFirstDoesNot(double change, double otherChange, float otherStrength, int to, bool sewn) =>
        Assert.Equal(sewn, Of(change, otherChange, 20, otherStrength, to).OtherIsSewn);
}
