using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>The kind of line with the best score is the thread unless another sees more (invented scores; the rules are ours).</summary>
public sealed class ClassChoiceTests
{
    private static readonly ClassScore s_plain = new("", 8, 1, 8, 0.35, 3, 0.91, 0.3) { SwayMm = 0.1, WidthMm = 0.4, MisfitShare = 0.02, ShadowShare = 0.1 };

    private static readonly ThreadColour s_dark = new(new Colour3(-1, 0, 0), []);

    private static Candidate Kind(string name, ThreadColour? colour, ClassScore score) => new(name, colour, [], []) { Score = score };

    private static string First(ClassScore ofColour, ClassScore other, bool otherHasColour)
    {
        List<Candidate> all = [Kind("other", otherHasColour ? s_dark : null, other), Kind("best", s_dark, ofColour), Kind("worse", s_dark, ofColour with { Score = 2 })];
        ClassChoice.ThreadFirst(all);
        Assert.Equal(3, all.Count);
        return all[0].Name;
    }

    [Fact]
    public void WhereNothingElseSpeaks_TheBestScoreIsTheThread() => Assert.Equal("best", First(s_plain, s_plain with { Score = 7.9, Contrast = 5 }, false));

    [Theory]
    [InlineData(8.5, 0.35, 7.9, "other")]
    [InlineData(7.9, 0.35, 7.9, "best")] // less clear
    [InlineData(8.5, 0.2, 7.9, "best")] // less dashed
    [InlineData(8.5, 0.35, 7.5, "best")] // too far behind
    public void AThreadOfChangingColour_IsFollowedByAllItsColours(double contrast, double dash, double score, string first) =>
        Assert.Equal(first, First(s_plain, s_plain with { Score = score, Contrast = contrast, DashCorrelation = dash }, false));

    [Fact]
    public void AColourThatIsSeenAllAlong_IsNotGivenUp() => Assert.Equal("best", First(s_plain with { Coverage = 0.97 }, s_plain with { Score = 7.9, Contrast = 9, Coverage = 0.98 }, false));

    /// <summary>A whole family is missing under the best.</summary>
    [Theory]
    [InlineData(1, 0.5, "other")]
    [InlineData(0.6, 0.5, "best")]
    [InlineData(1, 0.3, "best")] // less dashed than the best
    public void AsPlainlyStitchedAndWithMoreLines_IsTheThread(double found, double dash, string first) =>
        Assert.Equal(first, First(s_plain with { FoundShare = 0.6 }, s_plain with { Score = 7.2, FoundShare = found, DashCorrelation = dash }, true));

    /// <summary>A calm broad line, and a narrow one that sways twice as much: pen, and the thread beside it.</summary>
    [Theory]
    [InlineData(0.2, 0.19, 0.016, "other")]
    [InlineData(0.35, 0.19, 0.016, "best")] // hardly narrower
    [InlineData(0.2, 0.1, 0.016, "best")] // hardly freer
    [InlineData(0.2, 0.19, 0.05, "best")] // no thread's profile
    public void NarrowerAndFreer_IsTheThread(double widthMm, double swayMm, double misfit, string first)
    {
        ClassScore pen = s_plain with { DashCorrelation = 0, Coverage = 0.98, MisfitShare = 0.04, SwayMm = 0.08, WidthMm = 0.42 };
        Assert.Equal(first, First(pen, pen with { Score = 7.4, WidthMm = widthMm, SwayMm = swayMm, MisfitShare = misfit }, true));
        Assert.Equal("best", First(pen with { DashCorrelation = 0.4 }, pen with { Score = 7.4, WidthMm = widthMm, SwayMm = swayMm, MisfitShare = misfit }, true));
    }

    /// <summary>Dark lines as straight as a ruler would be refused as drawn; a kind hardly less like thread that sways as a hand does is the thread.</summary>
    [Theory]
    [InlineData(7.7, 0.1, 0.99, "other")]
    [InlineData(7.3, 0.1, 0.99, "best")] // too far behind
    [InlineData(7.7, 0.005, 0.99, "best")] // drawn as well
    [InlineData(7.7, 0.1, 0.9, "best")] // not seen as whole
    public void WhatWouldBeRefusedAsDrawn_GivesWay(double score, double swayMm, double coverage, string first)
    {
        ClassScore pen = s_plain with { DashCorrelation = 0, Contrast = 12, Coverage = 0.99, SwayMm = 0.005, WobbleMm = 0.1, WidthMm = 0.5, ShadowShare = 0.02, Direction = s_dark.Direction };
        Assert.True(pen.LooksDrawn);
        Assert.Equal(first, First(pen, pen with { Score = score, SwayMm = swayMm, Coverage = coverage }, true));
        // Bright ones are taken out of the photo instead.
        Assert.Equal("best", First(pen with { Direction = new Colour3(1, 0, 0) }, pen with { Score = score, SwayMm = swayMm, Coverage = coverage }, true));
    }

    /// <summary>Even dashes straighter than any hand sews are printed.</summary>
    [Theory]
    [InlineData(0.02, "other")]
    [InlineData(0.002, "best")]
    public void PrintedDashes_GiveWay(double swayMm, string first)
    {
        ClassScore print = s_plain with { DashCorrelation = 0.8, Contrast = 5, Coverage = 0.99, SwayMm = 0, Direction = s_dark.Direction };
        Assert.Equal(first, First(print, print with { Score = 7.6, SwayMm = swayMm }, true));
    }

    /// <summary>One thread on light and on dark cloth: a kind of one colour is its lit flank on one of them; what shows in any colour is far clearer, with stitches in its middle.</summary>
    [Theory]
    [InlineData(10, 0.018, 0.54, 0, "other")]
    [InlineData(8, 0.018, 0.54, 0, "best")] // hardly clearer
    [InlineData(10, 0.04, 0.54, 0, "best")] // no thread's profile
    [InlineData(10, 0.018, 0.1, 0, "best")] // no stitches
    [InlineData(10, 0.018, 0.54, 0.3, "best")] // stitches beside it
    public void OnSeveralCloths_WhatStandsOutEverywhere_IsTheThread(double contrast, double misfit, double texture, double textureAt, string first)
    {
        ClassScore flank = s_plain with { DashCorrelation = 0.14, Contrast = 4.9, Coverage = 0.93, MisfitShare = 0.052, ShadowShare = 0.61, SwayMm = 0.014 };
        Assert.Equal(first, First(flank, flank with
        {
            Score = 7.6,
            DashCorrelation = 0.05,
            Contrast = contrast,
            Coverage = 1,
            MisfitShare = misfit,
            ShadowShare = 0.18,
            SwayMm = 0.021,
            TextureHeight = texture,
            TextureAtMm = textureAt,
            TextureWidthMm = 0.25,
        }, false));
    }

    private static readonly ThreadColour s_light = new(new Colour3(1, 0, 0), []);

    private static string First(ThreadColour bestColour, ClassScore best, ThreadColour otherColour, ClassScore other)
    {
        List<Candidate> all = [Kind("other", otherColour, other), Kind("best", bestColour, best)];
        ClassChoice.ThreadFirst(all);
        return all[0].Name;
    }

    /// <summary>A line lighter than the cloth and one-sided as tall as itself, and a dark one as clear without a shadow: a furrow's lit flank, and the thread in it.</summary>
    [Theory]
    [InlineData(1.1, 13.6, 0.029, 0.17, "other")]
    [InlineData(0.5, 13.6, 0.029, 0.17, "best")] // hardly one-sided
    [InlineData(1.1, 8, 0.029, 0.17, "best")] // less clear
    [InlineData(1.1, 13.6, 0.06, 0.17, "best")] // no thread's profile
    [InlineData(1.1, 13.6, 0.029, 0.8, "best")] // as one-sided
    public void ALitFlank_IsNotTheThread(double bestShadow, double contrast, double misfit, double shadow, string first)
    {
        ClassScore flank = s_plain with { DashCorrelation = 0.13, Contrast = 12.9, Coverage = 0.99, MisfitShare = 0.015, ShadowShare = bestShadow, SwayMm = 0.018, WidthMm = 0.56 };
        Assert.Equal(first, First(s_light, flank, s_dark, flank with { Score = 6.9, DashCorrelation = 0.16, Contrast = contrast, MisfitShare = misfit, ShadowShare = shadow, WidthMm = 0.38 }));
    }

    /// <summary>A flank broken by the stitches: as dashed as the thread, and no more.</summary>
    [Theory]
    [InlineData(0.26, 0.15, 12.9, "other")]
    [InlineData(0.28, 0, 21, "other")] // far clearer
    [InlineData(0.26, 0.1, 12.9, "best")]
    [InlineData(0.5, 0.45, 12.9, "best")] // dashed beyond doubt
    public void ALitFlankWithStitchesInIt_IsNotTheThread(double bestDash, double dash, double contrast, string first)
    {
        ClassScore flank = s_plain with { DashCorrelation = bestDash, Contrast = 14, Coverage = 0.98, MisfitShare = 0.018, ShadowShare = 1.5, SwayMm = 0.022, WidthMm = 0.63 };
        Assert.Equal(first, First(s_light, flank, s_dark, flank with { Score = 6.9, DashCorrelation = dash, Contrast = contrast, MisfitShare = 0.031, ShadowShare = 0.19, WidthMm = 0.42 }));
    }

    /// <summary>Dots of the underside's thread at every stitch, and the thread beside them.</summary>
    [Theory]
    [InlineData(9, 0.007, 0.48, "other")]
    [InlineData(6, 0.007, 0.48, "best")] // hardly clearer
    [InlineData(9, 0.03, 0.48, "best")] // hardly a thread's profile
    [InlineData(9, 0.007, 0.1, "best")] // no stitches
    public void DotsBesideTheStitches_AreNotTheThread(double contrast, double misfit, double dash, string first)
    {
        ClassScore dots = s_plain with { DashCorrelation = 0.65, Contrast = 5.6, Coverage = 0.99, MisfitShare = 0.111, ShadowShare = 0.18, WidthMm = 0.52 };
        Assert.Equal(first, First(s_light, dots, s_dark, dots with { Score = 6.4, DashCorrelation = dash, Contrast = contrast, Coverage = 1, MisfitShare = misfit, ShadowShare = 0.1, WidthMm = 0.39 }));
    }

    /// <summary>Chalk along a ruler, clearer than anything, and the thread beside it.</summary>
    [Theory]
    [InlineData(0.2, 0.02, 0, "other")]
    [InlineData(0.1, 0.02, 0, "best")] // hardly a stitch
    [InlineData(0.2, 0.05, 0, "best")] // no thread's profile
    [InlineData(0.2, 0.02, 0.3, "best")] // the stitches lie beside it
    public void RuledAndClear_IsTheMark_WhereStitchesShowBeside(double dash, double misfit, double textureAt, string first)
    {
        ClassScore chalk = s_plain with { DashCorrelation = 0.04, Contrast = 37, Coverage = 0.93, MisfitShare = 0.018, ShadowShare = 0.07, SwayMm = 0.012, Direction = s_light.Direction };
        Assert.Equal(first, First(s_light, chalk, s_dark, chalk with
        {
            Score = 7.7,
            DashCorrelation = dash,
            Contrast = 13,
            Coverage = 1,
            MisfitShare = misfit,
            SwayMm = 0.027,
            TextureHeight = 2.4,
            TextureAtMm = textureAt,
            TextureWidthMm = 0.58,
        }));
    }

    /// <summary>Crumbling chalk, uneven but at no even distance, and the thread beside it.</summary>
    [Theory]
    [InlineData(0.31, 0.033, 8.6, "other")]
    [InlineData(0.15, 0.033, 8.6, "best")] // hardly dashed
    [InlineData(0.31, 0.06, 8.6, "best")] // a profile as bad
    [InlineData(0.31, 0.033, 4, "best")] // much fainter
    public void PlainlyDashed_IsTheThread_WhereTheBestIsNot(double dash, double misfit, double contrast, string first)
    {
        ClassScore chalk = s_plain with { DashCorrelation = 0.08, Contrast = 10.7, Coverage = 0.94, MisfitShare = 0.065, ShadowShare = 0.49, SwayMm = 0.033 };
        Assert.Equal(first, First(s_light, chalk, s_dark, chalk with { Score = 7.9, DashCorrelation = dash, Contrast = contrast, Coverage = 1, MisfitShare = misfit, ShadowShare = 0.1, SwayMm = 0.02 }));
    }

    /// <summary>A mark along a ruler, clearer than the thread that sways beside it; and a colour that is that mark's, followed by turns with the thread.</summary>
    [Theory]
    [InlineData(0, 0.12, 0.01, "thread")]
    [InlineData(0, 0.06, 0.01, "best")] // hardly by hand
    [InlineData(0, 0.12, 0.06, "best")] // no thread's profile
    [InlineData(0.09, 0.17, 0.01, "thread")]
    [InlineData(0.09, 0.1, 0.01, "best")] // hardly freer
    public void FreerThanARuledMark_IsTheThread(double bestSwayMm, double swayMm, double misfit, string first)
    {
        ClassScore ruled = s_plain with { Contrast = 12, DashCorrelation = 0.05, Coverage = 0.95, SwayMm = 0.01, MisfitShare = 0.01, ShadowShare = 0.05, WidthMm = 0.6, Direction = new Colour3(-1, 0, 0) };
        ClassScore best = ruled with { SwayMm = bestSwayMm, MisfitShare = 0.028, Contrast = bestSwayMm > 0 ? 7 : 12 };
        List<Candidate> all =
        [
            Kind("best", s_dark, best),
            Kind("mark apart from the others", s_dark, ruled with { Score = 5 }),
            Kind("thread", new ThreadColour(new Colour3(0, 1, 0), []), ruled with { Score = 7.2, Contrast = 6, SwayMm = swayMm, MisfitShare = misfit }),
        ];
        ClassChoice.ThreadFirst(all);
        Assert.Equal(first, all[0].Name);
    }

    /// <summary>What shows in any colour goes along the mark as well, unless the marks' colours were left out.</summary>
    [Theory]
    [InlineData(false, "best")]
    [InlineData(true, "any")]
    public void WhateverShows_IsNotFreeOfTheMark(bool withoutMarks, string first)
    {
        ClassScore ruled = s_plain with { Contrast = 12, DashCorrelation = 0.05, Coverage = 0.95, SwayMm = 0.01, MisfitShare = 0.01, ShadowShare = 0.05, WidthMm = 0.6, Direction = new Colour3(-1, 0, 0) };
        List<Candidate> all =
        [
            Kind("best", s_dark, ruled),
            new("any", null, [], []) { Score = ruled with { Score = 7.2, Contrast = 6, SwayMm = 0.12, Direction = null }, Marks = withoutMarks ? [s_dark.Direction] : [] },
        ];
        ClassChoice.ThreadFirst(all);
        Assert.Equal(first, all[0].Name);
    }

    /// <summary>A broad thread, and the shade beside it.</summary>
    [Theory]
    [InlineData(8.4, 0.014, 0.1, "other")]
    [InlineData(5, 0.014, 0.1, "best")] // hardly clearer
    [InlineData(8.4, 0.05, 0.1, "best")] // no thread's profile
    [InlineData(8.4, 0.014, 0.02, "best")] // straight as a ruler
    public void ClearerInEverything_IsTheThread(double contrast, double misfit, double swayMm, string first)
    {
        ClassScore shade = s_plain with { Contrast = 4.6, DashCorrelation = 0, Coverage = 0.96, MisfitShare = 0.064, ShadowShare = 0.29, SwayMm = 0.09, WidthMm = 0.32 };
        Assert.Equal(first, First(shade, shade with { Score = 7.9, Contrast = contrast, Coverage = 1, MisfitShare = misfit, ShadowShare = 0.14, SwayMm = swayMm, WidthMm = 0.7 }, true));
    }

    /// <summary>The pale ground beside a plain dark thread, and the thread.</summary>
    [Theory]
    [InlineData(-1, 5.7, 0.004, 0.02, 11, "other")]
    [InlineData(1, 5.7, 0.004, 0.02, 11, "best")] // of the same colour
    [InlineData(-1, 5.2, 0.004, 0.02, 11, "best")] // too far behind
    [InlineData(-1, 5.7, 0.05, 0.02, 11, "best")] // no thread's profile either
    [InlineData(-1, 5.7, 0.004, 0.3, 11, "best")] // one-sided as well
    [InlineData(-1, 5.7, 0.004, 0.02, 6, "best")] // much fainter
    public void GroundBesideAPlainThread_IsNotTheThread(double lightness, double score, double misfit, double shadow, double contrast, string first)
    {
        ClassScore ground = s_plain with { Score = 6, Contrast = 12, DashCorrelation = 0, Coverage = 0.99, MisfitShare = 0.08, ShadowShare = 0.66, SwayMm = 0.06, Direction = new Colour3(1, 0, 0) };
        List<Candidate> all =
        [
            Kind("best", new ThreadColour(new Colour3(1, 0, 0), []), ground),
            Kind("other", new ThreadColour(new Colour3(lightness, 0.2, 0), []), ground with { Score = score, Contrast = contrast, MisfitShare = misfit, ShadowShare = shadow, Direction = new Colour3(lightness, 0.2, 0) }),
        ];
        ClassChoice.ThreadFirst(all);
        Assert.Equal(first, all[0].Name);
    }
}
