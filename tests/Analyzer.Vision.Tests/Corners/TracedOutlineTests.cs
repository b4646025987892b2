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

    private static bool Settles(Func<GridLine, double> offMm, Func<GridLine, bool>? isLost = null, ClassScore? thread = null, bool undecided = false, double? logOdds = null, double endsBeforeMm = 0, IntendedGrid? grid = null, int? shortFamily = null, double[]? bowsMm = null)
    {
        grid ??= s_grid;
        TracedLine?[] lines = [.. grid.Lines.Select(l => isLost?.Invoke(l) == true ? null : shortFamily is { } f && l.Family != f ? Line(l, offMm(l), 0) : Line(l, offMm(l), endsBeforeMm))];
        return TracedOutline.Settles(new BlockTraces { Lines = lines, Seen = [], Classes = [thread ?? s_sewn], LookAlikeUndecided = undecided, LogOdds = logOdds is { } odds ? [.. lines.Select(_ => odds)] : null }, grid,
            bowsMm is null ? [] : [.. bowsMm.Select(bow => new SideReading("side", bow, 0.1, 0.1, 1))]);
    }

    private static TracedLine Line(GridLine line, double offMm, double endsBeforeMm)
    {
        double[] along = [.. Enumerable.Range(1, (int)line.LengthMm - 1).Select(i => (double)i).Where(s => s < line.LengthMm - endsBeforeMm)];
        return new TracedLine
        {
            Line = line,
            AlongMm = along,
            DeviationMm = [.. along.Select(s => offMm + 0.3 * Math.Sin(s / 5))],
            SigmaMm = [.. along.Select(_ => 0.02)],
            Noise = new NoiseCorrelation(1),
            Coverage = along.Length / (line.LengthMm - 1),
        };
    }

    private static int Middle => s_grid.Lines.Where(l => l.Family == 0).Select(l => l.Index).Order().ElementAt(s_grid.Lines.Count(l => l.Family == 0) / 2);

    [Fact]
    public void LinesThatLieWhereTheyShould_SettleIt() => Assert.True(Settles(l => l.Index % 2 == 0 ? 0.5 : -0.4));

    [Fact]
    public void LinesAllMovedTogether_DoNot() => Assert.False(Settles(l => l.Family == 0 ? 1.8 : 0));

    /// <summary>A barrel lens bows the sides by 2 mm, and the lines near them by nearly as much: such lines confirm sides so bowed, not straight ones, nor sides bowed the other way, nor the right bow on the wrong sides.</summary>
    [Theory]
    [InlineData(2, 2, true)]
    [InlineData(0, 0, false)]
    [InlineData(-2, -2, false)]
    [InlineData(2, 0, false)]
    [InlineData(0, 2, false)]
    public void LinesBowedAsTheSidesAre_SettleIt(double topAndBottomMm, double rightAndLeftMm, bool settles) =>
        // On the mean over its length a line moves by two thirds of the bow times its distance from the middle, in half blocks, and between middle and side a little more.
        Assert.Equal(settles, Settles(l => MovedByLens(s_grid.Families[l.Family].AcrossOfLine(l.Index) - AcrossMiddle(s_grid.Families[l.Family]), 2), bowsMm: [topAndBottomMm, rightAndLeftMm, topAndBottomMm, rightAndLeftMm]));

    /// <summary>Sides that the cloth drew in, or whose bow was misread, take nothing from lines that lie where straight sides have them.</summary>
    [Fact]
    public void LinesWhereStraightSidesHaveThem_SettleIt_HoweverTheSidesBow() => Assert.True(Settles(_ => 0.1, bowsMm: [-3, 2, -3, 2]));

    private static double AcrossMiddle(LineFamily family) => family.AcrossX * 75 + family.AcrossY * 75;

    /// <summary>Mean over a line's length of k·(a² - x²)·y + k·(a² - y²)·y, where k·a³ is the sides' bow and a half the block's side.</summary>
    private static double MovedByLens(double fromMiddleMm, double bowMm) => bowMm * fromMiddleMm / 75 * (2.0 / 3 + 1 - fromMiddleMm / 75 * (fromMiddleMm / 75));

    /// <summary>An outline that is too large on one side: the lines lie farther off from one to the next.</summary>
    [Fact]
    public void LinesThatDriftAwayFromTheGrid_DoNot() => Assert.False(Settles(l => 0.6 * (l.Index - Middle)));

    [Fact]
    public void LinesMostlyLost_DoNot() => Assert.False(Settles(_ => 0, l => l.Family == 1 && l.Index % 3 == 0));

    /// <summary>One line of each family that was not sewn, the others from ditch to ditch: the outline is the block's. Where they end before one of its sides, it lies beside the block.</summary>
    [Theory]
    [InlineData(0, true)]
    [InlineData(3, true)]
    [InlineData(20, false)]
    public void AMissingLine_SettlesIt_IfTheOthersRunToEverySide(double shortMm, bool settles) =>
        Assert.Equal(settles, Settles(_ => 0, l => l.Index == Middle, endsBeforeMm: shortMm));

    /// <summary>Dense lines, two of sixteen lost on one side where the outline reaches beyond the block by two of them, and all the others ending before it.</summary>
    [Fact]
    public void OutlineTwoLinesBesideTheBlock_IsNotSettled_HoweverDenseTheGrid() =>
        Assert.False(Settles(_ => 0, l => l.Family == 1 && l.Index >= s_dense.Lines.Where(d => d.Family == 1).Max(d => d.Index) - 1, endsBeforeMm: 16, grid: s_dense, shortFamily: 0));

    private static readonly IntendedGrid s_dense = new(new BlockSize(150, 150), NamedGrids.Families("square", Core.Units.Length.FromMillimetres(9), new BlockSize(150, 150))!);

    [Fact]
    public void LinesThatMayBeDrawn_DoNot()
    {
        Assert.False(Settles(_ => 0, thread: s_sewn with { DashCorrelation = 0.02, SwayMm = 0.01 }));
        Assert.False(Settles(_ => 0, undecided: true));
        // Unless the taught net sees thread along them.
        Assert.True(Settles(_ => 0, thread: s_sewn with { DashCorrelation = 0.02, SwayMm = 0.01 }, logOdds: 1.5));
    }

    [Fact]
    public void OnlyDoubtsAboutLines_CanBeSettled()
    {
        Assert.True(CornerTrust.LinesCanSettle("the stitched lines do not show where the intended grid has them"));
        Assert.True(CornerTrust.LinesCanSettle("another seam runs beside a side of the block and fits nearly as well"));
        Assert.False(CornerTrust.LinesCanSettle("another outline in the photo fits nearly as well"));
        Assert.False(CornerTrust.LinesCanSettle("one side of the block is hardly to be seen"));
    }
}
