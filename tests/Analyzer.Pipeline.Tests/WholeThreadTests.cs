using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Ends;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline.Tests;

/// <summary>The thread's unseen ends put in: whether they shift the straightness of the whole is tried out on invented lines whose ends are known (truth: the invented thread itself).</summary>
public sealed class WholeThreadTests
{
    private static readonly IntendedGrid s_grid = new(new BlockSize(80, 80), [new LineFamily(0, 40, new BlockPoint(0, 40))]);

    /// <summary>A hand's line of 80 mm that ends within a millimetre and a half of the ditch; the two millimetres beside the ditch are not seen.</summary>
    private static (TracedLine Seen, double[] TrueMm) Invented(int seed)
    {
        var random = new Random(seed);
        double[] phase = [.. Enumerable.Range(0, 4).Select(_ => 2 * Math.PI * random.NextDouble())], wave = [150, 62, 31, 17];
        double Course(double s) => wave.Zip(phase, (w, p) => 0.002 * w * Math.Sin(2 * Math.PI * s / w + p)).Sum();
        double first = 3 * (random.NextDouble() - 0.5), last = 80 + 3 * (random.NextDouble() - 0.5);
        double[] along = [.. Enumerable.Range(3, 75).Select(i => (double)i)], whole = [.. Enumerable.Range(0, 81).Select(i => (double)i).Where(s => s >= first && s <= last)];
        return (new TracedLine
        {
            Line = s_grid.Lines.First(l => l.Family == 0),
            AlongMm = along,
            DeviationMm = [.. along.Select(Course)],
            SigmaMm = [.. along.Select(_ => 0.002)],
            ScatterMm = [.. along.Select(_ => 0.002)],
            Noise = new NoiseCorrelation(1),
            Coverage = 1,
        }, [.. whole.Select(Course)]);
    }

    [Fact]
    public void Straightness_OfTheWholeThread_IsNeitherTooSmallNorTooLarge()
    {
        const int runs = 300;
        double[] error = new double[runs], seenOnly = new double[runs], over = new double[runs];
        for (int seed = 0; seed < runs; seed++)
        {
            (TracedLine seen, double[] trueMm) = Invented(seed);
            double truth = Straightness.Of([.. Enumerable.Range(0, trueMm.Length).Select(i => (double)i)], trueMm).RmsMm;
            WholeThread whole = WholeThread.Of(seen, null);
            ReferenceLineFit fit = ReferenceLineFit.Fit(whole.Line.AlongMm, whole.Line.DeviationMm, whole.Line.SigmaMm, whole.Line.Noise, 40, whole.Chance);
            NoiseFreeStraightness straight = NoiseFreeStraightness.Of(whole.Line.AlongMm, whole.Line.DeviationMm, whole.Line.SigmaMm, whole.Line.Noise, fit, whole.Line.ScatterMm, whole.Chance);
            error[seed] = straight.RmsMm / truth - 1;
            over[seed] = (straight.RmsMm - truth) / straight.RmsUMm;
            seenOnly[seed] = Straightness.Of(seen.AlongMm, seen.DeviationMm).RmsMm / truth - 1;
        }
        // As shares of the true straightness: without its ends a line is told too straight, with them it is right on the whole.
        string said = FormattableString.Invariant($"mean error {error.Average():0.0000}, of the seen part alone {seenOnly.Average():0.0000}; within 2u {over.Count(z => Math.Abs(z) <= 2)} of {runs}");
        Assert.True(Math.Abs(error.Average()) < 0.004 && Math.Abs(error.Average()) < 0.3 * Math.Abs(seenOnly.Average()), said);
        Assert.True(over.Count(z => Math.Abs(z) <= 2) >= 0.92 * runs, said);
    }

    [Fact]
    public void Chance_OfAPlaceAtTheDitch_IsAHalfAndOfAnySeenOneIsOne()
    {
        WholeThread whole = WholeThread.Of(Invented(1).Seen, null);
        Assert.Equal(0, whole.Line.AlongMm[0]);
        Assert.Equal(0.5, whole.Chance[0], 6);
        Assert.All(Enumerable.Range(0, whole.Chance.Length).Where(i => whole.Line.AlongMm[i] is >= 3 and <= 77), i => Assert.Equal(1, whole.Chance[i]));
        Assert.True(whole.Chance[0] < whole.Chance[1] && whole.Chance[1] < whole.Chance[2]);
    }

    /// <summary>Where the end was read 3.2 mm before the ditch, the two last places, which go on straight where the thread is not, hardly count, and the report does not give them.</summary>
    [Theory]
    [InlineData(-3.2, 0.4, 3)]
    [InlineData(0, 0.4, 0)]
    [InlineData(-2.5, 0.4, 2)]
    public void PlacesBeyondTheEndThatWasRead_HardlyCount(double overshootMm, double uMm, int beyond)
    {
        (TracedLine invented, _) = Invented(3);
        double[] along = [.. Enumerable.Range(1, 79).Select(i => (double)i)];
        TracedLine seen = invented with
        {
            AlongMm = along,
            DeviationMm = [.. along.Select(s => s > 80 + overshootMm + 0.01 ? 5 : 0.1 * Math.Sin(s / 5))],
            SigmaMm = [.. along.Select(_ => 0.002)],
            ScatterMm = [.. along.Select(_ => 0.002)],
        };
        var details = new LineDetails(null, new ThreadEnd(overshootMm, uMm), null);
        WholeThread whole = WholeThread.Of(seen, details);
        Assert.Equal(beyond, whole.Chance.Count(c => c < 0.5));
        LineReport report = LineDeviations.Of(seen.Line, seen, s_grid, CornerUncertainty.OfMillimetres(s_grid.Size, 0.001), details), none = LineDeviations.Of(seen.Line, seen, s_grid, CornerUncertainty.OfMillimetres(s_grid.Size, 0.001));
        Assert.Equal(79, none.Samples.Count);
        double lastMm = report.Samples[^1].AlongMm;
        Assert.InRange(lastMm, 80 + overshootMm - 1, Math.Min(79, 80 + overshootMm + uMm));
        // Places 5 mm aside would turn the line by more than half a degree: the whole of it is told where nothing was read, a tenth at most where the end was.
        double turn = Math.Abs(report.AngleDeg.Value!.Value - LineDeviations.Of(seen.Line, seen with { DeviationMm = [.. along.Select(s => 0.1 * Math.Sin(s / 5))] }, s_grid, CornerUncertainty.OfMillimetres(s_grid.Size, 0.001), details).AngleDeg.Value!.Value);
        if (beyond > 0) Assert.InRange(turn, 0, 0.1 * Math.Abs(none.AngleDeg.Value!.Value));
        else Assert.Equal(0, turn, 6);
    }

    /// <summary>A corner line of 5 mm whose ends were read so that hardly a stitch lies between them: they say nothing then.</summary>
    [Fact]
    public void EndsThatLeaveHardlyAStitch_SayNothing()
    {
        var grid = new IntendedGrid(new BlockSize(80, 80), [new LineFamily(45, 80, new BlockPoint(3.6, 0))]);
        GridLine corner = grid.Lines.Single(l => l.LengthMm < 6);
        double[] along = [1, 2, 3, 4];
        var seen = new TracedLine { Line = corner, AlongMm = along, DeviationMm = [0.1, 0.2, 0.2, 0.1], SigmaMm = [.. along.Select(_ => 0.01)], ScatterMm = [.. along.Select(_ => 0.01)], Noise = new NoiseCorrelation(1), Coverage = 1 };
        LineReport report = LineDeviations.Of(seen.Line, seen, grid, CornerUncertainty.OfMillimetres(grid.Size, 0.001), new LineDetails(new ThreadEnd(-2.4, 0.3), new ThreadEnd(-2.4, 0.3), null));
        Assert.Equal(4, report.Samples.Count);
        Assert.True(report.StraightnessTotalMm.Value > 0);
    }
}
