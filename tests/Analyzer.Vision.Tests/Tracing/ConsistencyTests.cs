using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Of lines that are alike in all but one thing, the one that differs goes where that thing tells it from sewing, and stays where it does not (invented lines; the rule is ours).</summary>
public sealed class ConsistencyTests
{
    private static readonly IntendedGrid s_grid = new(new BlockSize(100, 100), [new LineFamily(0, 20, new BlockPoint(0, 10))]);

    private static TracedLine Sewn(GridLine line)
    {
        double[] along = [.. Enumerable.Range(1, 98).Select(i => (double)i)];
        var texture = new double[StitchTexture.Length];
        for (int k = 0; k < texture.Length; k++) texture[k] = Math.Abs(k - StitchTexture.Half) <= 2 ? 4 : 1;
        return new TracedLine
        {
            Line = line,
            AlongMm = along,
            DeviationMm = [.. along.Select(s => 0.2 * Math.Sin(s / 8 + line.Index))],
            SigmaMm = [.. along.Select(_ => 0.02)],
            Noise = new NoiseCorrelation(1),
            Coverage = 1,
            Contrast = 8,
            DashCorrelation = 0.15,
            DashRatio = 2,
            Texture = texture,
            Colour = new Colour3(-8, 1, 2),
        };
    }

    /// <summary>Which of the lines stay when the third is made another.</summary>
    private static bool ThirdStays(Func<TracedLine, TracedLine> other, bool oneColour = true)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select((l, i) => i == 2 ? other(Sewn(l)) : Sewn(l))];
        TracedLine?[] kept = Consistency.WithoutStrangers(lines, s_grid, oneColour);
        Assert.All(Enumerable.Range(0, kept.Length).Where(i => i != 2), i => Assert.NotNull(kept[i]));
        return kept[2] is not null;
    }

    [Theory]
    [InlineData(0.5, 0.05, 0.4, false)] // edges of a print
    [InlineData(0.5, 0.05, 3, true)] // the thread in a tall shadow
    [InlineData(0.5, 0.4, 0.4, true)] // even stitches
    [InlineData(0.05, 0.05, 0.4, true)] // a thread's own profile
    public void Family_WithoutAThreadsProfile_Goes(double misfit, double dash, double shadow, bool stays)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => Sewn(l) with { MisfitShare = misfit, DashCorrelation = dash, ShadowShare = shadow, Texture = null })];
        Assert.All(Consistency.WithoutStrangers(lines, s_grid, true), l => Assert.Equal(stays, l is not null));
    }

    /// <summary>Stitches that begin and end in the cloth, 4 mm beside a line that was never sewn, are a loose run; on the line's place, up to the ditch or fainter than the thread they are part of a line.</summary>
    [Theory]
    [InlineData(4, 30, 70, 1, false)]
    [InlineData(-4, 30, 70, 1, false)]
    [InlineData(0.3, 30, 70, 1, true)]
    [InlineData(4, 2, 60, 1, true)]
    [InlineData(4, 40, 98, 1, true)]
    [InlineData(4, 12, 88, 1, true)]
    [InlineData(4, 30, 70, 0.3, true)]
    public void RunThatEndsInTheCloth_BesideALine_IsNone(double asideMm, double fromMm, double toMm, double colourShare, bool stays)
    {
        TracedLine whole = Sewn(s_grid.Lines[2]);
        int[] at = [.. Enumerable.Range(0, whole.AlongMm.Length).Where(i => whole.AlongMm[i] >= fromMm && whole.AlongMm[i] <= toMm)];
        TracedLine run = whole with
        {
            AlongMm = [.. at.Select(i => whole.AlongMm[i])],
            DeviationMm = [.. at.Select(i => whole.DeviationMm[i] + asideMm)],
            SigmaMm = [.. at.Select(i => whole.SigmaMm[i])],
            Coverage = at.Length / 98.0,
            Colour = new Colour3(-8 * colourShare, colourShare, 2 * colourShare),
        };
        Assert.Equal(stays, ThirdStays(_ => run));
        Assert.Equal(!stays, Consistency.IsLooseRun(run, s_grid.Lines.Select(Sewn)));
        Assert.False(Consistency.IsLooseRun(run with { AlongMm = [], DeviationMm = [], SigmaMm = [], Coverage = 0 }, s_grid.Lines.Select(Sewn)));
        // Where another line of the family is not seen whole either, the thread may go on unseen.
        Assert.False(Consistency.IsLooseRun(run, s_grid.Lines.Select((l, i) => i == 0 ? Sewn(l) with { Coverage = 0.8 } : Sewn(l))));
    }

    /// <summary>A pencil's line that was never sewn, in a family whose others show even stitches: no stitches, and hardly half of their peak. A thread in shade has less of one of the two only.</summary>
    [Theory]
    [InlineData(0.02, 0.4, true)]
    [InlineData(0.02, 0.8, false)]
    [InlineData(0.3, 0.4, false)]
    public void LineWithNoneOfItsFamilysStitches_IsTold(double dash, double peakShare, bool isTold)
    {
        TracedLine[] others = [.. s_grid.Lines.Select(l => Sewn(l) with { DashCorrelation = 0.4, PeakHeight = 18 })];
        TracedLine own = others[2] with { DashCorrelation = dash, PeakHeight = 18 * peakShare };
        others[2] = own;
        Assert.Equal(isTold, Consistency.HasNoneOfTheirStitches(own, others));
        // Where the others show none either, that tells nothing.
        Assert.False(Consistency.HasNoneOfTheirStitches(own, others.Select(l => l == own ? l : l with { DashCorrelation = 0.1 })));
    }

    /// <summary>A path through cloth where nothing was sewn, in a block whose stitches do not show one by one.</summary>
    [Theory]
    [InlineData(0.06, false)]
    [InlineData(0.6, true)]
    public void LineHardlyToBeSeen_WhereTheOthersArePlain_IsNone(double contrastShare, bool stays)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => Sewn(l) with { DashCorrelation = 0.04, Texture = null, Contrast = 25 })];
        lines[2] = lines[2]! with { Contrast = 25 * contrastShare, DashRatio = 1.2 };
        TracedLine?[] kept = Consistency.WithoutStrangers(lines, s_grid, true);
        Assert.Equal(stays, kept[2] is not null);
        Assert.Equal(lines.Length - (stays ? 0 : 1), kept.Count(l => l is not null));
    }

    private static double[] Flat => [.. Enumerable.Repeat(1.0, StitchTexture.Length)];

    [Fact]
    public void LineLikeTheOthers_Stays() => Assert.True(ThirdStays(l => l));

    [Fact]
    public void LineWithoutStitches_AmongPlainlyStitchedOnes_IsAMark() => Assert.False(ThirdStays(l => l with { Texture = Flat, DashCorrelation = 0 }));

    [Theory]
    [InlineData(2.2, 0.12, 0.2, true)] // fainter than the others, and something changes along its middle
    [InlineData(1.05, 0.12, 0.2, false)] // nothing does: a mark
    [InlineData(2.2, 0, 0.2, false)] // none of the even stitches that the others have
    [InlineData(2.2, 0.12, 3, false)] // not where the family's lines lie
    public void LineMuchFainterThanTheOthers_StaysWhereItsStitchesShow(double middle, double dash, double placeMm, bool stays)
    {
        var texture = new double[StitchTexture.Length];
        for (int k = 0; k < texture.Length; k++) texture[k] = Math.Abs(k - StitchTexture.Half) <= 2 ? middle : 1;
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => Sewn(l) with { Contrast = 20 })];
        lines[2] = lines[2]! with { Contrast = 5, DashRatio = 0.7, DashCorrelation = dash, Texture = texture, DeviationMm = [.. lines[2]!.DeviationMm.Select(d => d + placeMm)] };
        Assert.Equal(stays, Consistency.WithoutStrangers(lines, s_grid, true)[2] is not null);
    }

    /// <summary>A thread without gaps for a while, on a line too short for its sway to be told; and a pen's line as short.</summary>
    [Theory]
    [InlineData(8, -8, true)]
    [InlineData(5, -8, false)]
    [InlineData(8, -5, false)]
    public void ShortLineWithoutStitches_StaysIfItStandsOutAsTheOthersDo(double contrast, double lightness, bool stays) =>
        Assert.Equal(stays, ThirdStays(l => l with
        {
            AlongMm = [.. l.AlongMm.Take(38)],
            DeviationMm = [.. l.DeviationMm.Take(38).Select(d => d / 4)],
            SigmaMm = [.. l.SigmaMm.Take(38)],
            Texture = Flat,
            DashCorrelation = 0,
            Contrast = contrast,
            Colour = new Colour3(lightness, 1, 2),
        }));

    [Theory]
    [InlineData(2, 0.3, true)]
    [InlineData(1, 0.3, false)] // nothing changes along its middle
    [InlineData(2, 0.02, false)]
    public void FaintLineThatSwaysAsAHandDoes_StaysIfSomethingOfItsStitchesShows(double middle, double swayMm, bool stays)
    {
        var texture = new double[StitchTexture.Length];
        for (int k = 0; k < texture.Length; k++) texture[k] = Math.Abs(k - StitchTexture.Half) <= 2 ? middle : 1;
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => Sewn(l) with { DashCorrelation = 0.4 })];
        lines[2] = lines[2]! with { Texture = texture, DashCorrelation = 0, Contrast = 3.5, DashRatio = 0.7, DeviationMm = [.. lines[2]!.AlongMm.Select(s => swayMm * Math.Sin(s / 2.5))] };
        Assert.Equal(stays, Consistency.WithoutStrangers(lines, s_grid, true)[2] is not null);
    }

    [Fact]
    public void LineOfAnotherColour_IsPrint_UnlessTheThreadChangesColour()
    {
        static TracedLine Other(TracedLine l) => l with { Colour = new Colour3(-3, 7, -6), Texture = null, DashCorrelation = 0.05 };
        Assert.False(ThirdStays(Other));
        // Whatever colour they were followed in, if all the rest are of one.
        Assert.False(ThirdStays(Other, oneColour: false));
        TracedLine?[] lines = [.. s_grid.Lines.Select((l, i) => i == 2 ? Other(Sewn(l)) : i % 2 == 0 ? Sewn(l) : Sewn(l) with { Colour = new Colour3(-4, -7, 5) })];
        Assert.NotNull(Consistency.WithoutStrangers(lines, s_grid, false)[2]);
    }

    /// <summary>A mark along a ruler where nothing was sewn, as clear as the threads, among lines that sway by so much of a millimetre.</summary>
    [Theory]
    [InlineData(0.3, 0, false)]
    [InlineData(0.3, 0.05, true)] // it sways a little, too
    [InlineData(0.06, 0, true)] // a steady hand may sew one line as straight
    public void RuledLine_AmongThoseOfAFreeHand_IsAMark(double swayMm, double ownSwayMm, bool stays)
    {
        TracedLine Swaying(TracedLine l, double mm) => l with { Texture = null, DashCorrelation = 0.05, DeviationMm = [.. l.AlongMm.Select(s => 0.1 * l.Line.Index + mm * Math.Sin(s / 2.5))] };
        TracedLine?[] lines = [.. s_grid.Lines.Select((l, i) => Swaying(Sewn(l), i == 2 ? ownSwayMm : swayMm))];
        TracedLine?[] kept = Consistency.WithoutStrangers(lines, s_grid, false);
        Assert.Equal(stays, kept[2] is not null);
        Assert.Equal(lines.Length - (stays ? 0 : 1), kept.Count(l => l is not null));
    }

    [Fact]
    public void FaintStretchOfThread_WithItsStitches_Stays() => Assert.True(ThirdStays(l => l with { Contrast = 2, DashRatio = 1, DashCorrelation = 0.5 }));

    /// <summary>Along a print's edge the ground beside the thread is uneven, so that it seems fainter and less dashed; its colour and its stitches are the others'.</summary>
    [Fact]
    public void LineAlongThePrintsEdge_OfTheThreadsOwnColour_Stays()
    {
        static TracedLine AlongAnEdge(TracedLine l) => l with { Contrast = 1.9, DashRatio = 0.7 };
        Assert.True(ThirdStays(AlongAnEdge));
        Assert.False(ThirdStays(l => AlongAnEdge(l) with { Colour = new Colour3(-8, 6, 2) }));
        Assert.False(ThirdStays(l => AlongAnEdge(l) with { Colour = 0.5 * l.Colour }));
    }

    /// <summary>Three samples of a corner line: believed where the family's lines lie, not 1.5 mm from there.</summary>
    [Theory]
    [InlineData(0.3, true)]
    [InlineData(1.5, false)]
    public void ShortPieceSeen_FarFromItsPlace_Goes(double placeMm, bool stays) =>
        Assert.Equal(stays, ThirdStays(l => l with { Line = l.Line with { To = new BlockPoint(l.Line.From.Xmm + 6, l.Line.From.Ymm) }, AlongMm = [2, 3, 4], DeviationMm = [placeMm, placeMm, placeMm], SigmaMm = [0.02, 0.02, 0.02], Texture = null }));

    private static readonly IntendedGrid s_square = new(new BlockSize(100, 100), [new LineFamily(0, 20, new BlockPoint(0, 10)), new LineFamily(90, 20, new BlockPoint(10, 0))]);

    /// <summary>Families that stay when the second one's lines are made others.</summary>
    private static bool SecondFamilyStays(Func<TracedLine, TracedLine> other, bool oneColour = true)
    {
        TracedLine?[] lines = [.. s_square.Lines.Select(l => Sewn(l) with { DashCorrelation = 0.4 }).Select(l => l.Line.Family == 1 ? other(l) : l)];
        TracedLine?[] kept = Consistency.WithoutStrangers(lines, s_square, oneColour);
        Assert.All(kept.Zip(lines).Where(p => p.Second!.Line.Family == 0), p => Assert.NotNull(p.First));
        bool[] stays = [.. kept.Zip(lines).Where(p => p.Second!.Line.Family == 1).Select(p => p.First is not null)];
        Assert.Single(stays.Distinct());
        return stays[0];
    }

    /// <summary>Where stripes beside a family's lines change as much as its stitches do, no line of it shows any: one that is calm besides is no mark.</summary>
    [Fact]
    public void CalmLine_OfAFamilyWhoseStitchesNeverShow_Stays()
    {
        static TracedLine Calm(TracedLine l) => l with { Texture = Flat, DashCorrelation = 0.09, DeviationMm = [.. l.DeviationMm.Select(d => 0.5 * d)] };
        Assert.True(SecondFamilyStays(Calm));
    }

    /// <summary>Along a print's stripes the ground beside a family's lines is uneven, so that all of them seem far fainter than the other family's; the thread is the same.</summary>
    [Fact]
    public void FamilyAlongThePrintsStripes_OfTheThreadsOwnColour_Stays()
    {
        static TracedLine AlongStripes(TracedLine l) => l with { Contrast = 0.9, DashRatio = 0.3, DashCorrelation = 0 };
        Assert.True(SecondFamilyStays(AlongStripes));
        Assert.False(SecondFamilyStays(l => AlongStripes(l) with { Texture = Flat }));
    }

    private static readonly Colour3 s_chalk = new(20, -9, 3);

    private static TracedLine Chalk(TracedLine l) => l with { Colour = s_chalk, DashCorrelation = 0, Contrast = 20, DeviationMm = [.. l.DeviationMm.Select(d => 0.2 * d)] };

    /// <summary>Grainy chalk changes along itself as stitches do, and stands out more: what tells it is another family sewn with a thread of another colour, dashed and swaying.</summary>
    [Fact]
    public void FamilyOfDrawnLines_BesideAStitchedOne_GoesAsAWhole() => Assert.False(SecondFamilyStays(Chalk));

    /// <summary>Wide chalk beside a wandering thread is pulled about by it; what changes along it is then a band broader than thread.</summary>
    [Fact]
    public void FamilyOfWideChalk_PulledAboutByTheThread_GoesToo()
    {
        double[] broad = [.. Enumerable.Range(0, StitchTexture.Length).Select(k => 4 - 0.1 * Math.Abs(k - StitchTexture.Half))];
        Assert.True(StitchTexture.Peak([broad]).WidthMm > 0.9);
        Assert.False(SecondFamilyStays(l => Chalk(l) with { DeviationMm = l.DeviationMm, Texture = broad }));
        Assert.True(SecondFamilyStays(l => Chalk(l) with { DeviationMm = l.DeviationMm }));
    }

    [Fact]
    public void FamilyLikeTheOther_Stays()
    {
        Assert.True(SecondFamilyStays(l => l));
        // Calm, without dashes, of the same thread.
        Assert.True(SecondFamilyStays(l => Chalk(l) with { Colour = l.Colour, Contrast = l.Contrast }));
        // Another colour, and it sways as the other does.
        Assert.True(SecondFamilyStays(l => Chalk(l) with { DeviationMm = l.DeviationMm }, oneColour: false));
        // Dashed.
        Assert.True(SecondFamilyStays(l => Chalk(l) with { DashCorrelation = 0.4 }));
    }

    [Theory]
    // Sway of a hand, or shade of a furrow: sewn. Neither: drawn.
    [InlineData(0.3, 0.02, true, false)]
    [InlineData(0.1, 0.6, true, false)]
    [InlineData(0.1, 0.02, false, true)]
    public void DarkLinesWithoutStitches_AreSewn_WhereTheySwayOrLieInAFurrow(double wobbleMm, double shadowShare, bool unbroken, bool drawn)
    {
        var score = new ClassScore("colour 1", 6, 1, 2, 0.02, 1.1, 0.98, wobbleMm) { ShadowShare = shadowShare, WidthMm = 0.3, MisfitShare = 0.03, Direction = new Colour3(-1, 0, 0) };
        Assert.Equal(unbroken, score.IsUnbroken);
        Assert.Equal(drawn, score.LooksDrawn);
    }

    [Theory]
    // The same sway: with a narrow band of change along the middle, not quite high enough for stitches, it is a steady hand's; without, or calmer, a ruler's.
    [InlineData(0.17, 0.33, 0.05, false)]
    [InlineData(0.17, 0.1, 0.05, true)]
    [InlineData(0.17, 0.33, 0.4, true)]
    [InlineData(0.1, 0.33, 0.05, true)]
    public void SteadyLines_AreDrawn_UnlessSomethingIsSeenOfStitches(double wobbleMm, double textureHeight, double textureAtMm, bool drawn)
    {
        var score = new ClassScore("colour 1", 7, 1, 10, 0, 1.4, 1, wobbleMm) { TextureHeight = textureHeight, TextureAtMm = textureAtMm, TextureWidthMm = 0.5, WidthMm = 0.3, MisfitShare = 0.01, ShadowShare = 0.06, Direction = new Colour3(-1, 0, 0) };
        Assert.Equal(drawn, score.LooksDrawn);
    }

    /// <summary>The first line should lie 10 mm from the edge.</summary>
    [Theory]
    [InlineData(-9.5, false)]
    [InlineData(-7, true)]
    public void StitchesInTheDitch_AreNoLineOfTheGrid(double placeMm, bool stays)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select(Sewn)];
        lines[0] = lines[0]! with { DeviationMm = [.. lines[0]!.DeviationMm.Select(d => d + placeMm)] };
        Assert.Equal(stays, Consistency.WithoutStrangers(lines, s_grid, true)[0] is not null);
    }

    /// <summary>The outer lines should lie 1.6 mm from the edge (25 mm squares on a block of 8 inches): what runs nearer to the ditch than to its place is not one of them.</summary>
    [Theory]
    [InlineData(-1.4, false)]
    [InlineData(-1.0, false)]
    [InlineData(-0.6, true)]
    public void StitchesInTheDitch_AreNoLineCloseBesideIt(double placeMm, bool stays)
    {
        var grid = new IntendedGrid(new BlockSize(203.2, 203.2), [new LineFamily(0, 25, new BlockPoint(101.6, 101.6)), new LineFamily(90, 25, new BlockPoint(101.6, 101.6))]);
        TracedLine line = Sewn(grid.Lines[0]);
        Assert.Equal(1.6, grid.Size.EdgeDistanceMm(line.Line.From with { Xmm = 50 }), 6);
        Assert.Equal(!stays, Consistency.RunsInTheDitch(line with { DeviationMm = [.. line.DeviationMm.Select(d => d + placeMm)] }, grid));
    }

    /// <summary>A short line across a corner of a diamond grid, a good way off its place toward the corner: slanting, it is not the ditch.</summary>
    [Fact]
    public void ShortLineAcrossACorner_OffItsPlace_IsNotTheDitch()
    {
        var grid = new IntendedGrid(new BlockSize(120, 120), [new LineFamily(45, 20, new BlockPoint(4, 4)), new LineFamily(135, 20, new BlockPoint(4, 4))]);
        GridLine chord = grid.Lines.MinBy(l => l.LengthMm)!;
        Assert.InRange(chord.LengthMm, 5, 12);
        double[] along = [.. Enumerable.Range(1, (int)chord.LengthMm - 1).Select(i => (double)i)];
        foreach (double off in new[] { -1.6, 1.6 })
            Assert.False(Consistency.RunsInTheDitch(Sewn(chord) with { AlongMm = along, DeviationMm = [.. along.Select(_ => off)] }, grid));
    }

    /// <summary>Chalk that was not sewn along, as patchy as stitches and nearly of the thread's colour, against thread on chalk: the others' thread is a narrow peak of height 40.</summary>
    [Theory]
    [InlineData(20, 0.8, 0.02, false)] // lower, without stitches, and ruled
    [InlineData(20, 0.8, 1, true)] // a thread faint in places sways as the others do
    [InlineData(38, 0.8, 0.02, true)] // as tall a thread
    [InlineData(28, 0.4, 0.02, false)] // broader, and ruled
    [InlineData(28, 0.3, 1, false)] // plainly broader than thread
    public void MarkThatWasNotSewnAlong_IsNoThread(double height, double share, double sways, bool stays)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select((l, i) => Sewn(l) with
        {
            DashCorrelation = i == 2 ? 0.02 : 0.4,
            PeakHeight = i == 2 ? height : 40,
            PeakShare = i == 2 ? share : 1,
            DeviationMm = [.. Sewn(l).AlongMm.Select(s => (i == 2 ? sways : 1) * 0.06 * Math.Sin(2 * Math.PI * s / 18))],
        })];
        TracedLine?[] kept = Consistency.WithoutStrangers(lines, s_grid, true);
        Assert.Equal(stays, kept[2] is not null);
        Assert.All(Enumerable.Range(0, kept.Length).Where(i => i != 2), i => Assert.NotNull(kept[i]));
    }

    /// <summary>A pen's mark where a line was skipped: of its own colour, pale, without the thread's tall narrow peak; the weave shows through it like stitches.</summary>
    [Theory]
    [InlineData(-1, 2, 4, 12, false)]
    [InlineData(-6, 0.8, 1.5, 12, true)] // of the thread's colour
    [InlineData(-1, 2, 4, 20, true)] // with a thread's peak
    [InlineData(-2, 4, 8, 12, true)] // as strong as the thread
    public void PaleMarkOfAnotherColour_IsNoThread(double l, double a, double b, double height, bool stays)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select((line, i) => Sewn(line) with { PeakHeight = i == 2 ? height : 40, PeakShare = i == 2 ? 0.9 : 1, Colour = i == 2 ? new Colour3(l, a, b) : Sewn(line).Colour })];
        TracedLine?[] kept = Consistency.WithoutStrangers(lines, s_grid, false);
        Assert.Equal(stays, kept[2] is not null);
        Assert.All(Enumerable.Range(0, kept.Length).Where(i => i != 2), i => Assert.NotNull(kept[i]));
    }
}
