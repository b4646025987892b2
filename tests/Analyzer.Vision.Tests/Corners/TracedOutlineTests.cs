using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Traced lines tell whether a doubted outline is the block's (invented lines; the rule is ours).</summary>
public sealed class TracedOutlineTests
{
    private static readonly IntendedGrid s_grid = new(new BlockSize(150, 150), NamedGrids.Families("square", Core.Units.Length.FromMillimetres(20), new BlockSize(150, 150))!);

    private static readonly ClassScore s_sewn = new("colour 1", 8, 1, 8, 0.4, 3, 1, 0.3) { SwayMm = 0.1, MisfitShare = 0.01 };

    private static bool Settles(Func<GridLine, double> offMm, Func<GridLine, bool>? isLost = null, ClassScore? thread = null, bool undecided = false, double coverage = 1, bool everyLine = false)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => isLost?.Invoke(l) == true ? null : Line(l, offMm(l)) with { Coverage = coverage })];
        return TracedOutline.Settles(new BlockTraces { Lines = lines, Seen = [], Classes = [thread ?? s_sewn], LookAlikeUndecided = undecided }, s_grid, everyLine);
    }

    private static TracedLine Line(GridLine line, double offMm)
    {
        double[] along = [.. Enumerable.Range(1, (int)line.LengthMm - 1).Select(i => (double)i)];
        return new TracedLine
        {
            Line = line,
            AlongMm = along,
            DeviationMm = [.. along.Select(s => offMm + 0.3 * Math.Sin(s / 5))],
            SigmaMm = [.. along.Select(_ => 0.02)],
            Noise = new NoiseCorrelation(1),
            Coverage = 1,
        };
    }

    private static int Middle => s_grid.Lines.Where(l => l.Family == 0).Select(l => l.Index).Order().ElementAt(s_grid.Lines.Count(l => l.Family == 0) / 2);

    [Fact]
    public void LinesThatLieWhereTheyShould_SettleIt() => Assert.True(Settles(l => l.Index % 2 == 0 ? 0.5 : -0.4));

    [Fact]
    public void LinesAllMovedTogether_DoNot() => Assert.False(Settles(l => l.Family == 0 ? 1.8 : 0));

    /// <summary>An outline that is too large on one side: the lines lie farther off from one to the next.</summary>
    [Fact]
    public void LinesThatDriftAwayFromTheGrid_DoNot() => Assert.False(Settles(l => 0.6 * (l.Index - Middle)));

    [Fact]
    public void LinesMostlyLost_DoNot() => Assert.False(Settles(_ => 0, l => l.Family == 1 && l.Index % 3 == 0));

    /// <summary>One line of each family that was not sewn, the others from ditch to ditch: the outline is the block's. Beside it, one line's distance away, the others would end before it.</summary>
    [Theory]
    [InlineData(1, false, true)]
    [InlineData(0.85, false, false)]
    [InlineData(1, true, false)]
    public void AMissingLine_SettlesIt_IfTheOthersRunFromSideToSide(double coverage, bool everyLine, bool settles) =>
        Assert.Equal(settles, Settles(_ => 0, l => l.Index == Middle, coverage: coverage, everyLine: everyLine));

    [Fact]
    public void LinesThatMayBeDrawn_DoNot()
    {
        Assert.False(Settles(_ => 0, thread: s_sewn with { DashCorrelation = 0.02, SwayMm = 0.01 }));
        Assert.False(Settles(_ => 0, undecided: true));
    }

    [Fact]
    public void OnlyDoubtsAboutLines_CanBeSettled()
    {
        Assert.True(CornerTrust.IsAboutLines("the stitched lines do not show where the intended grid has them"));
        Assert.True(CornerTrust.IsAboutLines("another outline in the photo fits nearly as well"));
        Assert.True(CornerTrust.NeedsEveryLine("another outline in the photo fits nearly as well"));
        Assert.False(CornerTrust.NeedsEveryLine("the stitched lines do not show where the intended grid has them"));
        Assert.False(CornerTrust.IsAboutLines("one side of the block is hardly to be seen"));
    }
}
