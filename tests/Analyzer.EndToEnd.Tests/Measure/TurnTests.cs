using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Pipeline;
using Analyzer.Testing;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>--turn on a block that is not square: its shape shows which quarter turns can be. Truth: rendered.</summary>
public sealed class TurnTests
{
    private static readonly BlockSize Size = new(120, 90);

    private static readonly Lazy<SyntheticPhoto> Photo = new(() =>
    {
        SceneSettings scene = SceneSettings.Random(seed: 7, Tier.Easy, sideMm: 110);
        return SceneRenderer.Render(scene with
        {
            Size = Size,
            GridName = "square:30mm",
            Families = NamedGrids.Families("square", Length.FromMillimetres(30), Size)!,
            Camera = SceneSettings.Framing(Size, 8, 24) with { TiltDeg = 4, TiltTowardDeg = 60 },
        });
    });

    private static AccuracyReport Measure(string turn)
    {
        using var scratch = new Scratch();
        Ran ran = Ran.Words(["measure", scratch.File("block.jpg", Photo.Value.ToJpeg()), "--size", "120mm x 90mm", "--grid", "square:30mm", "--turn", turn, "--reference", "none", "--no-pictures", "--out", scratch.Report]);
        Assert.Equal((0, ""), (ran.ExitCode, ran.Error));
        return ReportJson.Read(File.ReadAllText(Path.Combine(scratch.Report, "report.json")));
    }

    private static double FromTruthPx(AccuracyReport report, int corner, int of) =>
        new PhotoPoint(report.Block!.CornersPx[corner][0], report.Block.CornersPx[corner][1]).DistanceTo(Photo.Value.Truth.Corners.ToArray()[of]);

    [Fact]
    public void HalfTurn_MovesEveryCornerToTheOppositeOne()
    {
        AccuracyReport report = Measure("180");
        Assert.All(Enumerable.Range(0, 4), i => Assert.InRange(FromTruthPx(report, i, (i + 2) % 4), 0, 8));
        Assert.DoesNotContain(report.Reasons, r => r.Message.Contains("turn asked for", StringComparison.Ordinal));
    }

    [Fact]
    public void QuarterTurn_ThatTheShapeRulesOut_IsToldAndTheNearestThatFitsTaken()
    {
        AccuracyReport report = Measure("90");
        Assert.Equal(Outcomes.WithCautions, report.Outcome);
        Assert.Contains(report.Reasons, r => r.Message.Contains("turn asked for does not fit", StringComparison.Ordinal));
        Assert.All(Enumerable.Range(0, 4), i => Assert.InRange(FromTruthPx(report, i, (i + 2) % 4), 0, 8));
    }
}
