using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Ends;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline.Tests;

/// <summary>
/// A line seen along a part of its length. Truth is the whole invented line, waves of every length from 8 to 150 mm; what is claimed of it from the part must hold within 2u as the
/// GUM (JCGM 100:2008, 6.2) means it: about 95 in 100.
/// </summary>
public sealed class UnseenPartTests
{
    private const int LengthMm = 110, Lines = 400;

    private static readonly IntendedGrid Grid = new(new BlockSize(LengthMm, LengthMm), [new LineFamily(0, 20, new BlockPoint(0, 10))]);

    private static readonly CornerUncertainty SureCorners = CornerUncertainty.OfMillimetres(Grid.Size, 1e-6);

    /// <summary>Standard normal numbers by Box and Muller.</summary>
    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private static double[] Wobble(Random random)
    {
        (double Length, double Size, double Phase)[] waves = [.. Enumerable.Range(0, 24).Select(i => 8 * Math.Pow(150.0 / 8, i / 23.0)).Select(l => (l, 0.06 * Math.Sqrt(l / 50) * Normal(random), 2 * Math.PI * random.NextDouble()))];
        return [.. Enumerable.Range(0, LengthMm + 1).Select(mm => waves.Sum(w => w.Size * Math.Sin(2 * Math.PI * mm / w.Length + w.Phase)))];
    }

    private static LineReport Report(double[] course, Func<int, bool> seen, LineDetails? details)
    {
        double[] possible = [.. Enumerable.Range(1, LengthMm - 2).Select(mm => (double)mm)], along = [.. possible.Where(mm => seen((int)mm))];
        double[] fine = [.. along.SelectMany(s => new[] { s, s + 0.25, s + 0.5, s + 0.75 })];
        var traced = new TracedLine
        {
            Line = Grid.Lines[2],
            AlongMm = along,
            DeviationMm = [.. along.Select(mm => course[(int)mm])],
            SigmaMm = [.. along.Select(_ => 0.002)],
            Noise = new NoiseCorrelation(1),
            PossibleMm = possible,
            FineAlongMm = fine,
            FineDeviationMm = [.. fine.Select(mm => course[(int)mm])],
            FineSigmaMm = [.. fine.Select(_ => 0.002)],
            Coverage = (double)along.Length / possible.Length,
        };
        return LineDeviations.Of(traced.Line, traced, Grid, SureCorners, details);
    }

    [Theory]
    [InlineData(20, 0)]
    [InlineData(45, 0)]
    [InlineData(12, 12)]
    [InlineData(30, 40)]
    public void UnseenMillimetres_AreInTheUncertainty(int hiddenMm, int fromMm)
    {
        var random = new Random(7100 + hiddenMm + 7 * fromMm);
        int rms = 0, angle = 0;
        double[] along = [.. Enumerable.Range(0, LengthMm + 1).Select(mm => (double)mm)];
        for (int i = 0; i < Lines; i++)
        {
            double[] course = Wobble(random);
            LeastSquaresLine whole = LeastSquaresLine.Fit(along, course);
            double trueRms = Math.Sqrt(along.Average(mm => Math.Pow(course[(int)mm] - whole.At(mm), 2))), trueAngle = Math.Atan((whole.At(LengthMm) - whole.At(0)) / LengthMm) * 180 / Math.PI;
            LineReport report = Report(course, mm => mm <= fromMm || mm > fromMm + hiddenMm, null);
            if (Math.Abs(report.StraightnessRmsMm.Value!.Value - trueRms) <= 2 * report.StraightnessRmsMm.U!.Value) rms++;
            if (Math.Abs(report.AngleDeg.Value!.Value - trueAngle) <= 2 * report.AngleDeg.U!.Value) angle++;
        }
        Assert.True(rms >= 0.88 * Lines && rms <= 0.995 * Lines && angle >= 0.88 * Lines && angle <= 0.995 * Lines, $"of {Lines} lines {rms} straightnesses and {angle} angles within 2u");
    }

    /// <summary>Where the thread's own end was read, nothing lies unseen beyond it.</summary>
    [Fact]
    public void AThreadThatEndsShortOfTheDitch_HidesNothing()
    {
        double[] course = Wobble(new Random(7200));
        LineReport Of(ThreadEnd? start) => Report(course, mm => mm > 20, new LineDetails(start, new ThreadEnd(0, 0.2), null));
        LineReport read = Of(new ThreadEnd(-20.5, 0.2)), unread = Of(null);
        Assert.True(read.StraightnessRmsMm.U < 0.3 * unread.StraightnessRmsMm.U, $"{read.StraightnessRmsMm.U} and {unread.StraightnessRmsMm.U}");
        Assert.Equal(read.StraightnessRmsMm.Value, unread.StraightnessRmsMm.Value);
    }
}
