using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing.Noise;
using Analyzer.Vision.Ends;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline.Tests;

/// <summary>
/// A line seen along a part of its length. Truth is the whole invented line, waves of every length from 8 to 150 mm; what is claimed of it from the part must hold within 2u as the
/// GUM (JCGM 100:2008, 6.2) means it: about 95 in 100.
/// </summary>
public sealed class UnseenPartTests
{
    private const int LengthMm = 110, Lines = 2000;

    private static readonly IntendedGrid Grid = new(new BlockSize(LengthMm, LengthMm), [new LineFamily(0, 20, new BlockPoint(0, 10))]);

    private static readonly CornerUncertainty SureCorners = CornerUncertainty.OfMillimetres(Grid.Size, 1e-6);

    private static double[] Wobble(SeededRandom random)
    {
        (double Length, double Size, double Phase)[] waves = [.. Enumerable.Range(0, 24).Select(i => 8 * Math.Pow(150.0 / 8, i / 23.0)).Select(l => (l, 0.06 * Math.Sqrt(l / 50) * random.Gaussian(), 2 * Math.PI * random.NextDouble()))];
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

    /// <summary>One end, both ends, and a gap.</summary>
    [Theory]
    [InlineData(0, 20, 0, 0)]
    [InlineData(0, 45, 0, 0)]
    [InlineData(0, 15, 95, 110)]
    [InlineData(0, 30, 90, 110)]
    [InlineData(40, 70, 0, 0)]
    public void UnseenMillimetres_AreInTheUncertainty(int fromMm, int toMm, int secondFromMm, int secondToMm)
    {
        var random = new SeededRandom(7100 + toMm + 7 * fromMm + 11 * secondFromMm);
        int offset = 0, angle = 0, rms = 0, total = 0;
        double[] along = [.. Enumerable.Range(0, LengthMm + 1).Select(mm => (double)mm)];
        for (int i = 0; i < Lines; i++)
        {
            double[] course = Wobble(random);
            LeastSquaresLine whole = LeastSquaresLine.Fit(along, course);
            double[] aside = [.. along.Select(mm => course[(int)mm] - whole.At(mm))];
            LineReport report = Report(course, mm => (mm <= fromMm || mm > toMm) && (mm <= secondFromMm || mm > secondToMm), null);
            offset += Holds(report.OffsetMm, whole.At(LengthMm / 2.0));
            angle += Holds(report.AngleDeg, Math.Atan((whole.At(LengthMm) - whole.At(0)) / LengthMm) * 180 / Math.PI);
            rms += Holds(report.StraightnessRmsMm, Math.Sqrt(aside.Average(a => a * a)));
            total += Holds(report.StraightnessTotalMm, aside.Max() - aside.Min());
        }
        string told = $"of {Lines} lines within 2u: offset {offset}, angle {angle}, STRq {rms}, STRt {total}";
        Assert.All(new[] { offset, angle, rms, total }, n => Assert.True(n >= 0.88 * Lines, told));
        // So wide that it says nothing is no uncertainty either.
        Assert.All(new[] { angle, rms }, n => Assert.True(n <= 0.995 * Lines, told));
    }

    private static int Holds(MeasuredValue told, double truth) => Math.Abs(told.Value!.Value - truth) <= 2 * told.U!.Value ? 1 : 0;

    /// <summary>An end that was read says where the thread stops, and no more lies unseen beyond it.</summary>
    [Fact]
    public void AnEndThatWasRead_LeavesLessUnseen()
    {
        double[] course = Wobble(new SeededRandom(7200));
        double U(ThreadEnd? start) => Report(course, mm => mm > 6, new LineDetails(start, new ThreadEnd(0, 0.2), null)).StraightnessRmsMm.U!.Value;
        Assert.Equal(U(null), U(new ThreadEnd(0.1, 0.2)), 6);
        Assert.InRange(U(new ThreadEnd(-2.5, 0.2)) / U(null), 0.5, 0.85);
    }
}
