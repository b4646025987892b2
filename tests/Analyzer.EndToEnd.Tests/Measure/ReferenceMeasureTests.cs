using Analyzer.Core.Reference;
using Analyzer.Core.Report;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Testing;
using Analyzer.Vision.Reference;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>The command measure with a known thing beside the block: a card, or the corner rule under a lens that bends. Truth: rendered.</summary>
public sealed class ReferenceMeasureTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    /// <summary>A length by the card or the rule may be off by this share: the card's edge is told to a pixel or two.</summary>
    private const double LengthShare = 0.006;

    /// <summary>The lens term lies within this many of its own standard uncertainties.</summary>
    private const double CoverageFactor = 3;

    private AccuracyReport Measure(SceneSettings scene, string reference)
    {
        using var scratch = new Scratch();
        SyntheticPhoto photo = SceneRenderer.Render(scene);
        Ran ran = Ran.Words(["measure", scratch.File("block.jpg", photo.ToJpeg()), .. block.GridWords(), "--reference", reference, "--no-pictures", "--out", scratch.Report]);
        Assert.Equal((0, ""), (ran.ExitCode, ran.Error));
        return ReportJson.Read(File.ReadAllText(Path.Combine(scratch.Report, "report.json")));
    }

    /// <summary>The block of <see cref="MeasuredBlock"/> with more table round it.</summary>
    private static SceneSettings Scene(double pixelsPerMm, double marginMm)
    {
        SceneSettings scene = SceneSettings.Random(seed: 7, Tier.Easy, sideMm: 110);
        return scene with { Camera = SceneSettings.Framing(scene.Size, pixelsPerMm, marginMm) with { TiltDeg = 4, TiltTowardDeg = 60 } };
    }

    [Fact]
    public void Card_BesideTheBlock_TellsThatItIsSmallerThanItsFinishedSize()
    {
        const double cardScale = 1.012;
        SceneSettings scene = Scene(10, 90);
        AccuracyReport report = Measure(scene with { Table = scene.Table with { Clutter = [Clutter.Card], CardScale = cardScale } }, "card");
        ScaleInfo? scale = report.Block!.Scale;
        Assert.NotNull(scale);
        Assert.Equal(scene.Size.WidthMm / cardScale, scale.WidthMm, LengthShare * scene.Size.WidthMm);
        Assert.Equal(scene.Size.HeightMm / cardScale, scale.HeightMm, LengthShare * scene.Size.HeightMm);
        Assert.Contains(report.Block.Notes, note => note.Contains("card", StringComparison.Ordinal));
    }

    [Fact]
    public void CornerRule_UnderABendingLens_GivesSizeAndBend()
    {
        const double k1 = 0.03, left = -40, top = -40;
        SceneSettings scene = Scene(6, 105);
        AccuracyReport report = Measure(scene with
        {
            Camera = scene.Camera with { K1 = k1 },
            Table = scene.Table with
            {
                Marks = [.. CornerRule.Marks.Select(m => new PrintedMark(left + m.Corners()[0].Xmm, top + m.Corners()[0].Ymm, CornerRule.MarkSideMm, ReferenceMarks.CellsOf(m.Id)))],
            },
        }, "sheet");
        BlockInfo found = report.Block!;
        Assert.Equal("measured", found.Lens!.Source);
        // seen = true (1 + k r²) undoes true = seen (1 + k1 r²): k = -k1 to first order, 3 k1² beyond it at the photo's corner.
        Assert.InRange(found.Lens.K, -k1 - CoverageFactor * found.Lens.U - 3 * k1 * k1, -k1 + CoverageFactor * found.Lens.U + 3 * k1 * k1);
        Assert.NotNull(found.Scale);
        Assert.Equal(scene.Size.WidthMm, found.Scale.WidthMm, LengthShare * scene.Size.WidthMm);
        Assert.Equal(scene.Size.HeightMm, found.Scale.HeightMm, LengthShare * scene.Size.HeightMm);
    }
}
