using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tests.Learnt;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Basting beside a block's thread, and marks among its lines: invented courses and colours, the rules are ours.</summary>
public sealed class OtherThreadTests
{
    private static readonly IntendedGrid Grid = new(new BlockSize(100, 100), [new LineFamily(0, 20, new BlockPoint(0, 10))]);

    private static readonly Colour3 Dark = new(-10, 1, 2), Pale = new(16, 0, -1);

    /// <summary>The thread lies straight and is seen so well; from 40 mm on another, 1.5 mm aside, is seen better for so long.</summary>
    private static SightPath Net(double forMm, double threadOdds = 1) => InventedStrip.Of((int)(Grid.Lines[2].LengthMm / SightStrip.CellMm), (along, deviation) =>
    {
        double off = deviation - Aside(along, forMm);
        return Math.Max(Math.Max(-6, 3 - 12 * off * off), threadOdds - 12 * deviation * deviation);
    }).Path(4);

    private static double Aside(double along, double forMm) => along > 40 && along < 40 + forMm ? 1.5 : 0;

    private static TracedLine Fit(Func<double, bool>? seen = null)
    {
        double[] along = [.. Enumerable.Range(1, 98).Select(mm => (double)mm).Where(seen ?? (_ => true))];
        return new TracedLine { Line = Grid.Lines[2], AlongMm = along, DeviationMm = [.. along.Select(_ => 0.0)], SigmaMm = [.. along.Select(_ => 0.1)], Noise = new NoiseCorrelation(1), PossibleMm = [.. Enumerable.Range(1, 98).Select(mm => (double)mm)], Coverage = along.Length / 98.0 };
    }

    private static double[] Along(double forMm, Colour3 thread, Colour3 beside, Func<double, bool>? seen = null, double threadOdds = 1, bool isFirm = false) =>
        OtherThread.Along(Fit(seen), Net(forMm, threadOdds), new FamilyColour(Dark, isFirm), (_, d) => Math.Abs(d) < 0.4 ? thread : Math.Abs(d - 1.5) < 0.4 ? beside : default);

    /// <summary>Pale basting beside dark thread for 25 mm: there, and where the two draw near each other, the thread stays where it was; before, it went with the basting.</summary>
    [Fact]
    public void PaleBastingBesideDarkThread_IsNotFollowed()
    {
        double[] found = Along(25, Dark, Pale);
        Assert.All(Enumerable.Range(42, 22), mm => Assert.Contains(mm, found));
        Assert.InRange(found[0], 36, 39);
        Assert.InRange(found[^1], 66, 69);
        TracedLine with = Join(found), without = Join([]);
        Assert.All(with.DeviationMm, d => Assert.Equal(0, d, 0.06));
        Assert.True(without.At(52) > 1.4);
        // Nor does the straightness's uncertainty carry the way it did not go.
        Assert.InRange(with.WobbleUMm, 0, 0.02);
        Assert.True(without.WobbleUMm > 0.1);

        static TracedLine Join(double[] besideMm)
        {
            TracedLine fit = Fit() with { BesideOtherThreadMm = besideMm };
            return JoinedTrace.Of(fit, fit, false, Net(25), Grid, new TracingSettings());
        }
    }

    /// <summary>A gap of the line's own within it is filled by nothing.</summary>
    [Fact]
    public void GapBesideBasting_IsNotFilledWithIt()
    {
        static bool Seen(double s) => s is < 50 or > 54;
        TracedLine fit = Fit(Seen) with { BesideOtherThreadMm = Along(25, Dark, Pale, Seen) };
        TracedLine joined = JoinedTrace.Of(fit, fit, false, Net(25), Grid, new TracingSettings());
        Assert.DoesNotContain(joined.AlongMm, s => s is >= 50 and <= 54);
        Assert.All(joined.DeviationMm, d => Assert.Equal(0, d, 0.06));
    }

    /// <summary>What a gap hides does not make a run of one place before it.</summary>
    [Fact]
    public void OnePlaceBeforeAGap_IsNoRun() => Assert.Empty(Along(25, Dark, Pale, s => s is < 45 and not (41 or 42 or 43) or > 66));

    /// <summary>A thread's loose end has the thread's colour; a thread that changes its colour is not where the fit is; what is as faint as the ground or beside the line for three millimetres only tells nothing.</summary>
    [Fact]
    public void WhatMayBeTheBlocksThread_IsNoOther()
    {
        Assert.Empty(Along(25, Dark, Dark));
        Assert.Empty(Along(25, Pale, Pale));
        Assert.Empty(Along(25, 0.1 * Dark, Pale));
        Assert.Empty(Along(25, Dark, 0.3 * Pale));
        Assert.Empty(Along(3, Dark, Pale));
        Assert.Empty(Along(25, Dark, Pale, threadOdds: -4));
        Assert.NotEmpty(Along(25, Dark, Pale));
    }

    /// <summary>The thread's colour is that of the places where fit and net are at one; where they are not along most of a family, what was followed may be a mark, and there is none.</summary>
    [Fact]
    public void ColourOf_IsOfThePlacesTheyAgreeOn()
    {
        static Colour3 At(GridLine line, double along, double deviation) => along is > 42 and < 63 ? Pale : Dark;
        Assert.Equal(new FamilyColour(Dark, false), OtherThread.ColourOf([(Fit(), Net(25))], At));
        Assert.Equal(default, OtherThread.ColourOf([(Fit(), Net(50))], At));
        Assert.Equal(default, OtherThread.ColourOf([], At));
        // Firm where both run together nearly all along, and all of it has one colour.
        Assert.Equal(new FamilyColour(Dark, true), OtherThread.ColourOf([(Fit(), Net(15))], At));
        Assert.Equal(new FamilyColour(Dark, false), OtherThread.ColourOf([(Fit(), Net(15))], (_, along, _) => along < 14 ? Pale : Dark));
        // Nor is the colour firm of what the net does not see as thread: that may be a pen's.
        SightPath hardly = InventedStrip.Of((int)(Grid.Lines[2].LengthMm / SightStrip.CellMm), (_, deviation) => Math.Max(-6, -1 - 12 * deviation * deviation)).Path(4);
        Assert.Equal(new FamilyColour(Dark, false), OtherThread.ColourOf([(Fit(), hardly)], (_, _, _) => Dark));
        Assert.Equal(new FamilyColour(Dark, true), OtherThread.ColourOf([(Fit(), Net(0))], (_, _, _) => Dark));
        // Dark on one half of the block and pale on the other: cloth of two kinds, or a thread that changes.
        Assert.Equal(default, OtherThread.ColourOf([(Fit(), Net(0))], (_, along, _) => along < 60 ? Dark : Pale));
    }

    /// <summary>Beside a thread whose colour is firm the ground, a print's outline and the thread's own faint dark rim are no thread, however the net likes them, along three places and more.</summary>
    [Fact]
    public void WhatHasNotAFirmColour_IsNoThread()
    {
        Colour3 outline = new(0, 8, -6);
        Assert.NotEmpty(Along(25, Dark, 0.2 * Dark, isFirm: true));
        Assert.NotEmpty(Along(25, Dark, 0.5 * Pale, isFirm: true));
        Assert.NotEmpty(Along(5, Dark, outline, isFirm: true));
        Assert.Empty(Along(25, Dark, outline));
        // 4 mm of it give three places, 3 mm give two.
        Assert.NotEmpty(Along(4, Dark, outline, isFirm: true));
        Assert.Empty(Along(3, Dark, outline, isFirm: true));
        // A course along which the net sees none, one that has another colour or far more of this one than the thread has (a furrow's shade), and what is plainly of the opposite colour there: the net keeps its say.
        Assert.Empty(Along(25, Dark, outline, threadOdds: -4, isFirm: true));
        Assert.Empty(Along(25, outline, 0.2 * Dark, isFirm: true));
        Assert.Empty(Along(25, 2 * Dark, 0.2 * Dark, isFirm: true));
        Assert.Empty(Along(25, Dark, Dark, isFirm: true));
        Assert.Empty(Along(25, Dark, Pale, threadOdds: -2, isFirm: true));
        Assert.NotEmpty(Along(25, Dark, outline, threadOdds: -2, isFirm: true));
    }

    /// <summary>A line that the net took from its family's dark thread onto a blue one laid across the block has left it; one that is dark still, one that was blue before, and one of a family of several colours or too few lines has not.</summary>
    [Fact]
    public void LineThatWentOntoAnotherColour_HasLeft()
    {
        Colour3 blue = new(2, 3, -40);
        TracedLine[] dark = [.. Enumerable.Range(0, 5).Select(k => Line(0.1, 14, k) with { Colour = (1 + 0.1 * k) * Dark })];
        Assert.Equal([false, false, true, false, false], OtherThread.HasLeft(With(2, blue), dark));
        Assert.DoesNotContain(true, OtherThread.HasLeft(dark, dark));
        Assert.DoesNotContain(true, OtherThread.HasLeft(With(2, blue), With(2, blue)));
        Assert.DoesNotContain(true, OtherThread.HasLeft(With(2, blue), [dark[0], dark[1], null, dark[3], dark[4]]));
        Assert.DoesNotContain(true, OtherThread.HasLeft([.. With(2, blue)[..3]], dark[..3]));
        Assert.DoesNotContain(true, OtherThread.HasLeft([With(2, blue)[2], dark[0], dark[1] with { Colour = Pale }, dark[2] with { Colour = blue }, dark[3]], dark));

        TracedLine[] With(int at, Colour3 colour) => [.. dark.Select((l, i) => i == at ? l with { Colour = colour } : l)];
    }

    /// <summary>Among lines a hand swayed a line straight as a ruler and half as strong may be a mark; neither alone says so, nor does it among lines sewn along a ruler, among too few, or beside another family's.</summary>
    [Fact]
    public void StraightAndFaint_IsLikeAMark()
    {
        TracedLine[] byHand = [.. Enumerable.Range(0, 4).Select(k => Line(0.1, 14, k))], ruled = [.. Enumerable.Range(0, 4).Select(k => Line(0.005, 14, k))];
        TracedLine faint = Line(0.005, 6, 9);
        Assert.True(LearntKind.IsLikeAMark(faint, [.. byHand, null, faint]));
        Assert.False(LearntKind.IsLikeAMark(Line(0.005, 13, 9), byHand));
        Assert.False(LearntKind.IsLikeAMark(Line(0.1, 6, 9), byHand));
        Assert.False(LearntKind.IsLikeAMark(faint, ruled));
        Assert.False(LearntKind.IsLikeAMark(faint, byHand[..2]));
        Assert.False(LearntKind.IsLikeAMark(faint, [.. byHand.Select(l => l with { Line = l.Line with { Family = 1 } })]));
        Assert.False(LearntKind.IsLikeAMark(faint with { IsFurrow = true }, byHand));
    }

    private static TracedLine Line(double swayMm, double contrast, int number)
    {
        double[] along = [.. Enumerable.Range(1, 98).Select(mm => (double)mm)];
        return Fit() with { DeviationMm = [.. along.Select(s => swayMm * Math.Sin(2 * Math.PI * (s + 3 * number) / 20))], Contrast = contrast };
    }
}
