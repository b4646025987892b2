using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Log;
using Analyzer.Practice.Progress;
using Analyzer.Practice.Simulation;

namespace Analyzer.Practice.Tests.Progress;

/// <summary>Learning curve (external check L11) and steering law (L10).</summary>
public class ProgressTests
{
    // Analytic: points on the curve give the curve back.
    [Fact]
    public void LearningCurve_OfExactPoints_FindsFloorAndRate()
    {
        double[] x = [0, 60, 120, 180, 240, 300, 420, 600], y = [.. x.Select(v => 0.3 + 0.5 * Math.Exp(-v / 150))];
        LearningCurve curve = LearningCurve.Fit(x, y)!;
        // The rate lies on a grid of 2 % steps.
        Assert.InRange(curve.Floor, 0.295, 0.305);
        Assert.InRange(1 / curve.Rate, 143, 157);
        Assert.InRange(curve.At(0), 0.79, 0.81);
        Assert.True(curve.P < 0.001);
    }

    // L11: in noise the 95 % interval of the floor holds the truth; of 200 seeds two standard errors are 3 points.
    [Fact]
    public void LearningCurve_FloorInterval_CoversTheTruth()
    {
        int inside = 0;
        const int seeds = 200;
        double[] x = [.. Enumerable.Range(0, 12).Select(i => 50.0 * i)];
        for (int seed = 0; seed < seeds; seed++)
        {
            var random = new Random(seed);
            double[] y = [.. x.Select(v => 0.4 + 0.6 * Math.Exp(-v / 120) + MathNet.Numerics.Distributions.Normal.Sample(random, 0, 0.05))];
            LearningCurve curve = LearningCurve.Fit(x, y)!;
            if (curve.FloorLow <= 0.4 && 0.4 <= curve.FloorHigh) inside++;
        }
        Assert.InRange(100.0 * inside / seeds, 90, 99);
    }

    [Fact]
    public void LearningCurve_OfFiveBlocks_IsNotFitted() => Assert.Null(LearningCurve.Fit([1, 2, 3, 4, 5], [5, 4, 3, 2, 1]));

    [Fact]
    public void LearningCurve_OfLevelNoise_IsNotClaimed()
    {
        int claimed = 0;
        for (int seed = 0; seed < 200; seed++)
        {
            var random = new Random(seed);
            double[] x = [.. Enumerable.Range(0, 10).Select(i => 30.0 * i)], y = [.. x.Select(_ => MathNet.Numerics.Distributions.Normal.Sample(random, 0.5, 0.05))];
            if (LearningCurve.Fit(x, y) is { P: <= 0.05, Gain: > 0 }) claimed++;
        }
        // The rate is searched, so the F test is a little free; the sentence also asks for Mann-Kendall at 5 %.
        Assert.True(claimed <= 24, $"{claimed} of 200");
    }

    // L10, straight tunnel: speed allowed proportional to width, so wobble = base + slope · speed. Analytic: base 0.1, slope 0.5, speed 0.4 gives 0.3; half speed 0.2.
    [Fact]
    public void SteeringLaw_OfExactPoints_FallsByAThird()
    {
        double[] speed = [0.2, 0.25, 0.3, 0.4, 0.4, 0.5, 0.55, 0.6], wobble = [.. speed.Select((v, i) => 0.1 + 0.5 * v + (i % 2 == 0 ? 1e-4 : -1e-4))];
        SteeringLaw law = SteeringLaw.Fit([.. speed.Select(v => 1 / v)], wobble)!;
        Assert.Equal(1.0 / 3, law.FallAtHalfPace, 2);
        Assert.True(law.Shown && law.FallLow < 1.0 / 3 + 0.01 && law.FallHigh > 1.0 / 3 - 0.01);
    }

    [Fact]
    public void SteeringLaw_Interval_CoversTheTruth()
    {
        int inside = 0, fitted = 0;
        for (int seed = 0; seed < 300; seed++)
        {
            var random = new Random(seed);
            double[] speed = [.. Enumerable.Range(0, 12).Select(_ => 0.2 + 0.4 * random.NextDouble())];
            double[] wobble = [.. speed.Select(v => 0.1 + 0.5 * v + MathNet.Numerics.Distributions.Normal.Sample(random, 0, 0.03))];
            if (SteeringLaw.Fit([.. speed.Select(v => 1 / v)], wobble) is not { } law) continue;
            double v = law.SpeedMPerMin, truth = 1 - (0.1 + 0.25 * v) / (0.1 + 0.5 * v);
            fitted++;
            if (law.FallLow <= truth && truth <= law.FallHigh) inside++;
        }
        Assert.InRange(100.0 * inside / fitted, 92, 98);
    }

    [Fact]
    public void SteeringLaw_OfSevenBlocksOrOnePace_IsNotFitted()
    {
        Assert.Null(SteeringLaw.Fit([1, 2, 3, 4, 5, 6, 7], [7, 6, 5, 4, 3, 2, 1]));
        Assert.Null(SteeringLaw.Fit([2, 2, 2, 2, 2, 2, 2, 2.1], [1, 1, 1, 1, 1, 1, 1, 1]));
    }

    [Fact]
    public void Progress_OfThreeBlocks_SaysTooLittleData()
    {
        PracticeProgress p = ProgressReader.Read("me", [.. Enumerable.Range(0, 3).Select(i => Session(i, new Skill()))]);
        Assert.Equal(3, p.Points.Count);
        Assert.All(p.Trends, t => Assert.StartsWith("Too little data", t.Sentence, StringComparison.Ordinal));
        Assert.Contains("at least 8 blocks", p.PaceSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Progress_OfALearner_FallsAndSaysBetter()
    {
        PracticeProgress p = ProgressReader.Read("me", [.. Enumerable.Range(0, 10).Select(i => Session(i, new Skill { WobbleMm = 0.2 + 0.8 * Math.Exp(-i / 2.5) }))]);
        MeasureTrend wobble = p.Trends.Single(t => t.Measure == Measure.Wobble);
        Assert.True(wobble.Test.TwoSidedP < 0.01);
        Assert.Contains("getting better", wobble.Sentence, StringComparison.Ordinal);
        Assert.InRange(0.2, wobble.Curve!.FloorLow, wobble.Curve.FloorHigh);
    }

    [Fact]
    public void Progress_LeavesOtherGridsOut_AndSaysSo()
    {
        PracticeSession other = Session(9, new Skill()) with { Blocks = [new PracticeBlock { ReportJson = ReportJson.Write(TestBlocks.Report(new Skill(), 99, "diamond", 2)) }] };
        PracticeProgress p = ProgressReader.Read("me", [.. Enumerable.Range(0, 5).Select(i => Session(i, new Skill())), other]);
        Assert.Equal(5, p.Points.Count);
        Assert.Contains(p.Notes, n => n.Contains("1 of 6 blocks", StringComparison.Ordinal));
    }

    // The stated u of a block's mean placement covers the maker's true mean |offset| (normal: sd·sqrt(2/π)) about 95 % of the time at 2u.
    [Fact]
    public void BlockNumbers_Uncertainty_IsTrue()
    {
        int inside = 0;
        const int seeds = 200;
        double truth = 0.4 * Math.Sqrt(2 / Math.PI);
        for (int seed = 0; seed < seeds; seed++)
        {
            MeasuredValue v = BlockNumbers.Of(TestBlocks.Block(TestBlocks.Steady with { DistortionMm = 0, WobbleMm = 0.05, AimMm = 0, CornerUMm = 0.01 }, 5000 + seed, "triangle")).OffsetMm;
            if (Math.Abs(v.Value!.Value - truth) <= 2 * v.U!.Value) inside++;
        }
        Assert.InRange(100.0 * inside / seeds, 90, 98.5);
    }

    private static PracticeSession Session(int i, Skill skill) => new()
    {
        Who = "me",
        HeldOn = new DateOnly(2026, 1, 1).AddDays(7 * i),
        Minutes = 45,
        Blocks = [new PracticeBlock { ReportJson = ReportJson.Write(TestBlocks.Report(skill, 100 + i, "square", 1)) }],
    };
}
