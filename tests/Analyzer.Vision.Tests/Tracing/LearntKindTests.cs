using Analyzer.Core.Deviation;
using Analyzer.Core.Pattern;
using Analyzer.Testing;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>The thread as the taught net sees it, beside marks and in cloth where colour and strength alone take something else. Truth: the renderer's; the net was not taught with these seeds.</summary>
public sealed class LearntKindTests(ITestOutputHelper output)
{
    private static (List<double> ErrorsMm, int Lines, int Sewn) Errors(int seed, Tier tier, bool withNet) => Errors(seed, tier, withNet, out _);

    private static (List<double> ErrorsMm, int Lines, int Sewn) Errors(int seed, Tier tier, bool withNet, out int kinds)
    {
        (SyntheticPhoto rendered, Photo photo, BlockPlane plane) = Rendered(SceneSettings.Random(seed, tier, 110));
        using Photo held = photo;
        BlockTraces traces = new StitchTracer(new Analyzer.Vision.Tracing.StitchSettings { LearntSight = withNet }).Trace(photo, plane, rendered.Truth.Grid);
        kinds = traces.Classes.Count;
        var errors = new List<double>();
        foreach (TracedLine line in traces.Lines.OfType<TracedLine>())
        {
            Dictionary<double, double> truth = rendered.Truth.Line(line.Line.Id).Samples.ToDictionary(s => Math.Round(s.AlongMm), s => s.DeviationMm);
            errors.AddRange(line.AlongMm.Zip(line.DeviationMm).Where(p => truth.ContainsKey(p.First)).Select(p => Math.Abs(p.Second - truth[p.First])));
        }
        errors.Sort();
        return (errors, traces.Lines.Count(l => l is { AlongMm.Length: > 0 }), rendered.Truth.Lines.Count(l => !l.IsMissing));
    }

    /// <summary>Thread on mottled cloth beside silver pencil that stands out more than it: a third of the samples lay more than a third of a millimetre off, along the pencil.</summary>
    [Fact]
    public void Trace_BesideAMarkThatStandsOutMore_FollowsTheThread()
    {
        (List<double> with, int lines, int sewn) = Errors(430016, Tier.Hard, true);
        (List<double> without, _, _) = Errors(430016, Tier.Hard, false);
        Assert.Equal(sewn, lines);
        Assert.True(At(with, 0.5) < 0.04 && At(with, 0.95) < 0.12, $"{At(with, 0.5):0.000} and {At(with, 0.95):0.000} mm");
        Assert.True(At(without, 0.95) > 0.35, $"without the net {At(without, 0.95):0.000} mm: this photo no longer shows what the net is for");
    }

    /// <summary>A busy stripe's edges are like thread to the net in places; the stitches of the kind taken by its colour have the last word.</summary>
    [Fact]
    public void Trace_WhereTheStitchesAreSeen_KeepsToThem()
    {
        (List<double> errors, int lines, int sewn) = Errors(430004, Tier.Hard, true);
        Assert.Equal(sewn, lines);
        Assert.True(At(errors, 0.5) < 0.04 && At(errors, 0.95) < 0.15, $"{At(errors, 0.5):0.000} and {At(errors, 0.95):0.000} mm");
    }

    /// <summary>Thread over stripes that run eight degrees from one family: where it was lost in a dark stripe, the stripe's edge had been followed up to 4 mm off.</summary>
    [Fact]
    public void Trace_WhereTheThreadIsLostInAStripe_SaysNothing()
    {
        (List<double> errors, _, _) = Errors(630003, Tier.Hard, true);
        Assert.True(At(errors, 0.95) < 0.2 && errors[^1] < 1.5, $"{At(errors, 0.95):0.000} and {errors[^1]:0.000} mm");
    }

    /// <summary>Scissors on the block: beside a gap the net had filled three places with their rim, nearly 4 mm off.</summary>
    [Fact]
    public void Trace_BesideWhatHidesTheThread_FillsNothingWithItsRim()
    {
        (List<double> errors, _, _) = Errors(650058, Tier.Ordinary, true);
        Assert.True(At(errors, 0.95) < 0.1 && errors[^1] < 0.6, $"{At(errors, 0.95):0.000} and {errors[^1]:0.000} mm");
    }

    /// <summary>A plain line whose stitches show less than the others', so that it was taken for a mark: the net sees that it was sewn, though only one kind of line was found.</summary>
    [Fact]
    public void Trace_WhereAPlainLineShowsFewStitches_KeepsIt()
    {
        (List<double> errors, int lines, int sewn) = Errors(680028, Tier.Easy, true);
        Assert.Equal(sewn, lines);
        Assert.True(Errors(680028, Tier.Easy, false).Lines < sewn, "this photo no longer shows what the net is for");
        Assert.True(At(errors, 0.95) < 0.05, $"{At(errors, 0.95):0.000} mm");
    }

    /// <summary>Dark thread beside silver pencil, two lines drawn and never sewn: the thread was found beside the pencil, and where there is none the pencil had been measured as two lines.</summary>
    [Fact]
    public void Trace_WhereTheMarkAloneIs_FindsNoLine()
    {
        SceneSettings scene = SceneSettings.Random(790034, Tier.Hard, 110);
        (SyntheticPhoto rendered, Photo photo, BlockPlane plane) = Rendered(scene);
        using Photo held = photo;
        string[] drawnOnly = [.. rendered.Truth.Lines.Where(l => l.IsMissing).Select(l => l.Id)];
        Assert.Equal(2, drawnOnly.Length);
        IReadOnlyList<TracedLine?> lines = new StitchTracer().Trace(photo, plane, rendered.Truth.Grid).Lines;
        Assert.Equal(rendered.Truth.Lines.Select(l => l.Id).Except(drawnOnly).Order(), lines.OfType<TracedLine>().Where(l => l.AlongMm.Length > 0).Select(l => l.Line.Id).Order());
    }

    /// <summary>One kind of line only, not far above its ground: joined with the net's course its 95 % error is a fifth smaller and more.</summary>
    [Fact]
    public void Trace_WhereOneKindIsLessThanPlain_IsJoinedWithTheNet()
    {
        (List<double> with, int lines, int sewn) = Errors(790004, Tier.Ordinary, true);
        (List<double> without, _, _) = Errors(790004, Tier.Ordinary, false, out int kinds);
        Assert.Equal(1, kinds);
        Assert.Equal(sewn, lines);
        Assert.True(At(with, 0.95) < 0.08 && At(with, 0.95) < 0.8 * At(without, 0.95), $"{At(with, 0.95):0.000} mm, without the net {At(without, 0.95):0.000}");
    }

    private static double At(List<double> sorted, double share) => sorted[(int)(share * (sorted.Count - 1))];

    /// <summary>However evenly lines are dashed: along the pencil the net sees thread elsewhere, along the thread it does not.</summary>
    [Theory]
    [InlineData(430016)]
    [InlineData(430001)]
    public void SeesElsewhere_AlongTheMarks_NotAlongTheThread(int seed)
    {
        (SyntheticPhoto rendered, Photo photo, BlockPlane plane) = Rendered(SceneSettings.Random(seed, Tier.Hard, 110));
        using Photo held = photo;
        TracedLine?[] marks = Along(rendered.Truth, t => t.IsMissing ? [] : t.MarkSamples), thread = Along(rendered.Truth, t => t.Samples);
        Assert.True(LearntKind.SeesElsewhere(photo.Bgr, plane, rendered.Truth.Grid, marks));
        Assert.False(LearntKind.SeesElsewhere(photo.Bgr, plane, rendered.Truth.Grid, thread));
    }

    /// <summary>A fifth of every line followed half a millimetre beside the thread: enough to be looked at more closely. A twentieth is not.</summary>
    [Fact]
    public void SeesElsewhere_WhereAPartLiesBeside()
    {
        (SyntheticPhoto rendered, Photo photo, BlockPlane plane) = Rendered(SceneSettings.Random(680001, Tier.Easy, 110));
        using Photo held = photo;
        Assert.True(Sees(0.2));
        Assert.False(Sees(0.05));

        bool Sees(double share) => LearntKind.SeesElsewhere(photo.Bgr, plane, rendered.Truth.Grid,
            Along(rendered.Truth, t => [.. t.Samples.Select((s, i) => i > 0.4 * t.Samples.Count && i < (0.4 + share) * t.Samples.Count ? s with { DeviationMm = s.DeviationMm + 0.5 } : s)]));
    }

    /// <summary>A course two millimetres beside the thread all over, on cloth and nothing else: whatever was taken for the thread, it runs elsewhere.</summary>
    [Fact]
    public void LieElsewhere_BesideTheThread_NotAlongIt()
    {
        const double besideMm = 2;
        (SyntheticPhoto rendered, Photo photo, BlockPlane plane) = Rendered(SceneSettings.Random(430016, Tier.Hard, 110));
        using Photo held = photo;
        LearntKind seen = Look(photo, plane, rendered.Truth.Grid);
        TracedLine?[] thread = Along(rendered.Truth, t => t.Samples), beside = Along(rendered.Truth, t => [.. t.Samples.Select(s => s with { DeviationMm = s.DeviationMm + besideMm })]);
        Assert.True(seen.LieElsewhere(beside));
        Assert.False(seen.LieElsewhere(thread));
        // Two lines tell nothing, nor three among many that lie right.
        Assert.False(seen.LieElsewhere([.. beside.Select((l, i) => i < 2 ? l : null)]));
        Assert.False(seen.LieElsewhere([.. thread.Select((l, i) => i < 3 ? beside[i] : l)]));
    }

    /// <summary>A mark that was drawn and not sewn, among lines that were: it goes, and no other line does.</summary>
    [Fact]
    public void WithoutUnsewn_LosesTheMarkThatWasNotSewn()
    {
        SceneSettings drawn = SceneSettings.Random(430016, Tier.Hard, 110);
        (SyntheticPhoto rendered, Photo photo, BlockPlane plane) = Rendered(drawn with { Stitch = drawn.Stitch with { MissingLines = 1 } });
        using Photo held = photo;
        SceneTruth truth = rendered.Truth;
        string missing = Assert.Single(truth.Lines, l => l.IsMissing).Id;
        TracedLine?[] lines = Along(truth, t => t.IsMissing ? t.MarkSamples : t.Samples);
        int at = Array.FindIndex(lines, l => l!.Line.Id == missing);
        LearntKind seen = Look(photo, plane, truth.Grid);
        output.WriteLine($"log odds along the mark {seen.Along(lines)[at]:0.00}, along the others {string.Join(" ", seen.Along(lines).Select(o => $"{o:0.00}"))}");
        TracedLine?[] kept = seen.WithoutUnsewn(lines);
        Assert.Null(kept[at]);
        Assert.Equal(lines.Length - 1, kept.Count(l => l is not null));
        // Of a block all of whose lines are plainly sewn it takes none.
        LearntKind movesOnly = Look(photo, plane, truth.Grid, movesOnly: true);
        Assert.Equal(lines, movesOnly.WithoutUnsewn(lines));
        Assert.Equal(lines, movesOnly.Sewn(lines, lines));
        Assert.Equal(lines, movesOnly.WithoutUnseen(lines));
    }

    private static (SyntheticPhoto Rendered, Photo Photo, BlockPlane Plane) Rendered(SceneSettings settings)
    {
        SyntheticPhoto rendered = SceneRenderer.Render(settings);
        return (rendered, PhotoReader.Read(rendered.ToJpeg(settings.Finish.JpegQuality), "block.jpg"), new BlockPlane(rendered.Truth.Corners, rendered.Truth.Grid.Size));
    }

    private static LearntKind Look(Photo photo, BlockPlane plane, IntendedGrid grid, bool movesOnly = false) =>
        LearntKind.Look(photo.Bgr, plane, grid, new Candidate("none", null, [.. grid.Families.Select(_ => new List<HoughLine>())], new HoughLine?[grid.Lines.Count]), movesOnly);

    /// <summary>Lines traced along the truth of each, without stitches to be seen.</summary>
    private static TracedLine?[] Along(SceneTruth truth, Func<LineTruth, IReadOnlyList<DeviationSample>> course) => [.. truth.Grid.Lines.Select(l =>
    {
        IReadOnlyList<DeviationSample> samples = course(truth.Line(l.Id));
        return samples.Count < 3 ? null : new TracedLine
        {
            Line = l,
            AlongMm = [.. samples.Select(s => s.AlongMm)],
            DeviationMm = [.. samples.Select(s => s.DeviationMm)],
            SigmaMm = [.. samples.Select(_ => 0.05)],
            Noise = new NoiseCorrelation(1),
            Coverage = 1,
        };
    })];
}
