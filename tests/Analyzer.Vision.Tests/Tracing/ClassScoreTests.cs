using Analyzer.Core.Deviation;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>How lines without even stitches are told drawn from sewn by their sway. Truth: the courses are made here, a ruler's with a bow only, a hand's with waves of a few centimetres.</summary>
public class ClassScoreTests
{
    private static readonly double[] AlongMm = [.. Enumerable.Range(0, 150).Select(i => (double)i)];

    private static ClassScore Of(Func<double, double> deviationMm)
    {
        double[] deviation = [.. AlongMm.Select(deviationMm)];
        return new ClassScore("colour 1", 0, 1, 8, 0.02, 2, 1, Straightness.Of(AlongMm, deviation).RmsMm) { SwayMm = HandSway.Of(AlongMm, deviation), WidthMm = 0.35, MisfitShare = 0.01, ShadowShare = 0.03 };
    }

    /// <summary>0.5 mm of bow over 150 mm, as cloth drawn in by quilting gives a line drawn along a ruler.</summary>
    private static double Bow(double s) => 4 * 0.5 * s * (150 - s) / 22500;

    [Fact]
    public void Ruled_line_that_bows_looks_drawn()
    {
        ClassScore ruled = Of(Bow);
        Assert.InRange(ruled.WobbleMm, 0.14, 0.16);
        Assert.True(ruled.LooksDrawn);
        Assert.False(ruled.SwaysByHand);
    }

    [Fact]
    public void Line_of_the_same_wobble_that_sways_within_centimetres_does_not()
    {
        ClassScore sewn = Of(s => 0.15 * Math.Sqrt(2) * Math.Sin(2 * Math.PI * s / 18));
        Assert.InRange(sewn.WobbleMm, 0.14, 0.16);
        Assert.True(sewn.SwaysByHand);
        Assert.False(sewn.LooksDrawn);
    }

    /// <summary>A little more than drawn lines sway: it may be a steady hand, and is measured with a caution.</summary>
    [Theory]
    [InlineData(0.028, 6, false)]
    [InlineData(0.022, 6, true)]
    [InlineData(0.028, 4, true)] // not seen so clearly
    public void Line_that_sways_a_little_is_not_called_drawn(double swayMm, double contrast, bool drawn)
    {
        ClassScore steady = Of(Bow) with { SwayMm = swayMm, Contrast = contrast };
        Assert.Equal(drawn, steady.LooksDrawn);
        Assert.True(steady.LooksRuled); // so there is a caution
    }

    [Fact]
    public void Ruled_line_with_change_in_a_broad_band_is_a_mark_with_thread_in_it() =>
        Assert.True((Of(Bow) with { TextureHeight = 2.5, TextureWidthMm = 1 }).WandersInMark);

    [Fact]
    public void Faint_line_in_a_patchy_band_twice_as_broad_as_thread_is_no_thread()
    {
        ClassScore faint = Of(s => 0.2 * Math.Sin(2 * Math.PI * s / 18)) with { Contrast = 2.3, TextureHeight = 2.7, TextureWidthMm = 1, TextureAtMm = 0.07 };
        Assert.True(faint.WandersInMark);
        Assert.False((faint with { TextureWidthMm = 0.5 }).WandersInMark);
        Assert.False((faint with { Contrast = 10, MisfitShare = 0.02 }).WandersInMark);
    }

    [Fact]
    public void Narrow_dark_line_that_sways_in_a_furrows_shade_is_no_mark()
    {
        ClassScore sewn = Of(s => 0.25 * Math.Sin(2 * Math.PI * s / 18)) with { Direction = new Analyzer.Vision.Stitches.Colour3(-1.1, 0, 0), Contrast = 6.7, TextureHeight = 0.93, TextureWidthMm = 0.83, TextureAtMm = -0.26, ShadowShare = 0.7, MisfitShare = 0.06 };
        Assert.False(sewn.WandersInMark);
        Assert.True((sewn with { ShadowShare = 0.1 }).WandersInMark);
        Assert.True((sewn with { SwayMm = 0.05 }).WandersInMark);
    }

    /// <summary>However much it sways: what jumps between a pen's line and the thread beside it sways too.</summary>
    [Fact]
    public void Line_broader_than_thread_with_change_as_broad_is_no_thread()
    {
        ClassScore broad = Of(s => 0.3 * Math.Sin(2 * Math.PI * s / 18)) with { WidthMm = 0.62, TextureHeight = 1.1, TextureWidthMm = 0.75 };
        Assert.True(broad.WandersInMark);
        Assert.False((broad with { WidthMm = 0.5 }).WandersInMark);
        Assert.False((broad with { DashCorrelation = 0.3 }).WandersInMark);
    }

    /// <summary>A furrow's broad shade is believed where stitches at even distances show in it, and not without.</summary>
    [Fact]
    public void Broad_shade_with_even_stitches_is_a_furrow()
    {
        ClassScore shade = Of(s => 0.1 * Math.Sin(2 * Math.PI * s / 18)) with { Direction = new Analyzer.Vision.Stitches.Colour3(-2, 0, 0), DashCorrelation = 0.2, ShadowShare = 0.4, WidthMm = 0.72, MisfitShare = 0.09 };
        Assert.True(shade.IsUnbroken);
        Assert.False((shade with { DashCorrelation = 0.05 }).IsUnbroken);
        Assert.False((shade with { WidthMm = 0.9 }).IsUnbroken);
    }

    /// <summary>Patchy chalk changes along itself as stitches do; its straightness gives it away.</summary>
    [Fact]
    public void Clear_line_as_straight_as_a_ruler_looks_drawn_however_patchy()
    {
        ClassScore chalk = Of(Bow) with { Contrast = 20, TextureHeight = 5, TextureWidthMm = 0.5 };
        Assert.True(chalk.StitchesShow);
        Assert.True(chalk.LooksDrawn);
        Assert.True((chalk with { DashCorrelation = 0.13 }).LooksDrawn); // a thread beside it lends it some of its dashes
        Assert.False((chalk with { DashCorrelation = 0.4 }).LooksDrawn);
        Assert.False((Of(s => 0.06 * Math.Sin(2 * Math.PI * s / 15)) with { Contrast = 20, TextureHeight = 5, TextureWidthMm = 0.5 }).LooksDrawn);
    }

    [Fact]
    public void Without_long_lines_sway_decides_nothing()
    {
        ClassScore unknown = Of(Bow) with { SwayMm = null };
        Assert.True(unknown.LooksDrawn);
        Assert.False(unknown.SwaysByHand);
        Assert.False((unknown with { TextureHeight = 2.5, TextureWidthMm = 1 }).WandersInMark);
    }

    [Theory]
    [InlineData(9, true)]
    [InlineData(5, false)] // nearer to the noise: some threads seem as straight
    public void Patchy_line_as_straight_as_a_ruler_looks_drawn_where_it_is_seen_well(double contrast, bool drawn) =>
        Assert.Equal(drawn, (Of(Bow) with { Contrast = contrast, TextureHeight = 2.4, TextureWidthMm = 0.67 }).LooksDrawn);

    /// <summary>Clear lines a little less straight than the straightest drawn ones are not refused, but it is said that they may be drawn.</summary>
    [Fact]
    public void Nearly_straight_line_without_even_stitches_may_be_drawn()
    {
        ClassScore line = Of(s => 0.05 * Math.Sin(2 * Math.PI * s / 15)) with { Contrast = 20, TextureHeight = 5, TextureWidthMm = 0.5 };
        Assert.InRange(line.SwayMm!.Value, ClassScore.StraightestByHandMm, ClassScore.RuledSwayMm);
        Assert.True(line.MayBeDrawn);
        Assert.False(line.LooksDrawn);
        Assert.False((line with { DashCorrelation = 0.4 }).MayBeDrawn);
    }

    private static readonly Colour3 s_pale = new(1, 0, 0);

    [Fact]
    public void Bright_ruled_lines_may_hide_a_thread_and_dark_ones_do_not()
    {
        ClassScore chalk = Of(Bow) with { Direction = s_pale };
        Assert.True(chalk.MayHideThread);
        Assert.False((chalk with { Direction = -1 * s_pale }).MayHideThread);
        // The shade of sewing beside it, or stitches: no mark.
        Assert.False((chalk with { ShadowShare = 0.3 }).MayHideThread);
        Assert.False((chalk with { DashCorrelation = 0.4 }).MayHideThread);
    }

    /// <summary>Such lines are refused where the net cannot call them sewn, and not where it can, or where nobody asked it.</summary>
    [Theory]
    [InlineData(0.5, true)]
    [InlineData(0.9, false)]
    [InlineData(double.NaN, false)]
    public void Bright_ruled_lines_are_refused_unless_seen_sewn(double logOdds, bool refused)
    {
        ClassScore chalk = Of(Bow) with { Direction = s_pale };
        var traces = new BlockTraces { Lines = [], Seen = [], Classes = [chalk], LogOdds = double.IsNaN(logOdds) ? null : [logOdds, logOdds, logOdds, logOdds] };
        Assert.Equal(refused, traces.MayBeDrawnUnseen);
    }

    /// <summary>A ruler's course with a hand's least sway, seen plainly and without stitches: as thin as thread it is measured with a caution, as broad as a pen's line it is not.</summary>
    [Theory]
    [InlineData(0.3, 12, 0.012, 0.1, false)]
    [InlineData(0.5, 12, 0.012, 0.1, true)] // as broad as a pen's
    [InlineData(0.3, 12, 0.003, 0.1, true)] // a ruler's own straightness
    [InlineData(0.3, 12, 0.012, 0.05, true)] // straight as a whole
    [InlineData(0.3, 7, 0.012, 0.1, true)] // not so plain
    public void Line_as_thin_as_thread_is_not_called_drawn(double widthMm, double contrast, double swayMm, double wobbleMm, bool drawn)
    {
        var line = new ClassScore("colour 1", 0, 1, contrast, 0.02, 2, 1, wobbleMm) { SwayMm = swayMm, WidthMm = widthMm, MisfitShare = 0.02, ShadowShare = 0.05 };
        Assert.Equal(drawn, line.LooksDrawn);
        Assert.True(line.MayBeDrawn); // so there is a caution
    }

    /// <summary>A thick thread is nearly as broad as a pen's line: what changes in its middle, stitch by stitch, is a narrower band than in a patchy mark.</summary>
    [Theory]
    [InlineData(0.42, false)]
    [InlineData(0.58, true)]
    public void Thick_thread_is_told_from_a_patchy_mark_by_the_band_that_changes(double bandMm, bool drawn)
    {
        var line = new ClassScore("colour 1", 0, 1, 14, 0.05, 2, 1, 0.12) { SwayMm = 0.018, WidthMm = 0.49, MisfitShare = 0.014, ShadowShare = 0.15, TextureHeight = 1.6, TextureWidthMm = bandMm };
        Assert.Equal(drawn, line.LooksDrawn);
    }

    /// <summary>Even dashes: along a ruler's line they are printed, along a steady hand's they are stitches.</summary>
    [Theory]
    [InlineData(0.6, 0.001, 8, true)]
    [InlineData(0.6, 0.011, 8, false)]
    [InlineData(0.1, 0.001, 8, false)] // no dashes to speak of
    [InlineData(0.6, 0.001, 3, false)] // so faint that noise may hide the sway
    public void Even_dashes_along_a_rulers_line_are_printed(double dash, double swayMm, double contrast, bool printed) =>
        Assert.Equal(printed, new ClassScore("colour 1", 8, 1, contrast, dash, 4, 1, 0.1) { SwayMm = swayMm }.IsRuledDashes);

    /// <summary>Stitches straight as a ruler, in a furrow whose shade no print has.</summary>
    [Fact]
    public void Even_dashes_in_a_furrow_are_stitches_however_straight() =>
        Assert.False(new ClassScore("colour 1", 8, 1, 6, 0.5, 4, 1, 0.15) { SwayMm = 0, ShadowShare = 0.8 }.IsRuledDashes);

    [Theory]
    [InlineData(0.1, 0.085, true)]
    [InlineData(0.2, 0.085, false)] // stitches
    [InlineData(0.1, 0.03, false)] // a thread's profile
    public void Lines_without_stitches_and_a_threads_profile_are_worth_a_caution(double dash, double misfit, bool caution) =>
        Assert.Equal(caution, new ClassScore("colour 1", 6.5, 1, 6.8, dash, 1.7, 1, 0.07) { SwayMm = 0.048, MisfitShare = misfit }.HasNeitherStitchesNorProfile);
}
