using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Pieces of a trace beyond a gap: kept where a hand could have moved so, dropped where it could not (limits are the room's own; no outside source).</summary>
public sealed class StrayPartsTests
{
    internal static TracedLine Line(params (double AlongMm, double DeviationMm)[] samples) => new()
    {
        Line = new GridLine("A1", 0, 0, new BlockPoint(0, 50), new BlockPoint(120, 50)),
        AlongMm = [.. samples.Select(s => s.AlongMm)],
        DeviationMm = [.. samples.Select(s => s.DeviationMm)],
        SigmaMm = [.. samples.Select(_ => 0.05)],
        FineAlongMm = [.. samples.Select(s => s.AlongMm + 0.25)],
        FineDeviationMm = [.. samples.Select(s => s.DeviationMm)],
        FineSigmaMm = [.. samples.Select(_ => 0.05)],
        Noise = new NoiseCorrelation(1),
        Coverage = samples.Length / 120.0,
    };

    private static IEnumerable<(double, double)> Run(int from, int to, Func<int, double> deviation) => Enumerable.Range(from, to - from + 1).Select(i => ((double)i, deviation(i)));

    [Fact]
    public void ShortPieceFarBesideTheCourse_IsNotTheThread()
    {
        TracedLine line = Line([.. Run(1, 80, _ => 0.2), .. Run(92, 95, _ => 3.4)]);
        TracedLine left = StrayParts.Without(line);
        Assert.Equal(80, left.AlongMm.Length);
        Assert.Equal(80, left.AlongMm[^1]);
        Assert.DoesNotContain(left.FineAlongMm, s => s > 82);
        Assert.Equal(line.Coverage * 80 / 84, left.Coverage, 9);
    }

    [Fact]
    public void PieceThatGoesOnWhereTheLineWent_IsKept()
    {
        TracedLine line = Line([.. Run(1, 80, i => 0.01 * i), .. Run(92, 96, i => 0.01 * i)]);
        Assert.Equal(85, StrayParts.Without(line).AlongMm.Length);
    }

    [Fact]
    public void LongPieceBeyondAGap_IsKeptHoweverFarAside()
    {
        TracedLine line = Line([.. Run(1, 60, _ => 0), .. Run(70, 115, _ => 2.5)]);
        Assert.Equal(106, StrayParts.Without(line).AlongMm.Length);
    }

    /// <summary>Another thread ran beside the line for a while.</summary>
    [Theory]
    [InlineData(3, 0.3, 67)]
    [InlineData(0.8, 0.3, 107)] // no farther aside than a hand moves
    [InlineData(3, 3, 107)] // the line went on there
    public void LongPieceAsideOfBothItsNeighbours_IsNotTheThread(double asideMm, double afterMm, int left)
    {
        TracedLine line = Line([.. Run(1, 40, _ => 0), .. Run(46, 85, _ => asideMm), .. Run(91, 117, _ => afterMm)]);
        Assert.Equal(left, StrayParts.Without(line).AlongMm.Length);
    }

    [Fact]
    public void SamplesDrawnAsideAtAWideGap_AreLeftOut()
    {
        TracedLine line = Line([.. Run(1, 60, _ => 0), .. Run(70, 115, _ => 0)]);
        line.SigmaMm[59] = line.SigmaMm[58] = 0.2;
        Assert.Equal(58, StrayParts.Without(line).AlongMm.Count(s => s <= 60));
    }
}
