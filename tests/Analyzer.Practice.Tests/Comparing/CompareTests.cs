using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Simulation;

namespace Analyzer.Practice.Tests.Comparing;

public class CompareTests
{
    private static ComparisonRow Overall(Comparison c, Measure m) => c.Overall.Single(r => r.Measure == m);

    [Fact]
    public void SameReport_ShowsNoDifferenceAtAll()
    {
        ComparedBlock block = TestBlocks.Block(new Skill(), 1);
        Comparison c = BlockComparer.Compare(block, block);
        Assert.All(c.Rows, r => Assert.Equal(0, r.Difference, 12));
        Assert.All(c.Rows, r => Assert.True(r.Verdict is Verdict.NoDifferenceShown or Verdict.CannotTell));
        Assert.Contains(c.Notes, n => n.Contains("same photo", StringComparison.Ordinal));
    }

    [Fact]
    public void HalvedWobble_IsCalledBetter_AndSwappedIsCalledWorse()
    {
        ComparedBlock shaky = TestBlocks.Block(TestBlocks.Steady with { WobbleMm = 0.6 }, 2, "triangle"), calm = TestBlocks.Block(TestBlocks.Steady with { WobbleMm = 0.3 }, 3, "triangle");
        ComparisonRow there = Overall(BlockComparer.Compare(shaky, calm), Measure.Wobble), back = Overall(BlockComparer.Compare(calm, shaky), Measure.Wobble);
        Assert.Equal(Verdict.Better, there.Verdict);
        Assert.Equal(Verdict.Worse, back.Verdict);
        Assert.Equal(there.Difference, -back.Difference, 12);
        Assert.InRange(-0.3, there.Low, there.High);
        Assert.StartsWith("Better:", there.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Within_HigherIsBetter()
    {
        ComparedBlock wild = TestBlocks.Block(TestBlocks.Steady with { OffsetSdMm = 1.2 }, 4, "triangle"), neat = TestBlocks.Block(TestBlocks.Steady with { OffsetSdMm = 0.1, WobbleMm = 0.1 }, 5, "triangle");
        Assert.Equal(Verdict.Better, Overall(BlockComparer.Compare(wild, neat), Measure.Within).Verdict);
    }

    [Fact]
    public void PoorPhotos_TurnAVerdictIntoCannotTell()
    {
        // All lines a little high before, a little low after: from line to line the change is plain, but corners off by 1.5 mm could do it.
        AccuracyReport before = TestBlocks.Report(TestBlocks.Steady with { FamilyOffsetMm = [1.0, 1.0], OffsetSdMm = 0.1, WobbleMm = 0.1 }, 6);
        AccuracyReport after = TestBlocks.Report(TestBlocks.Steady with { FamilyOffsetMm = [0.4, 0.4], OffsetSdMm = 0.1, WobbleMm = 0.1 }, 7);
        Comparison good = Compare(before, after);
        Assert.Equal(Verdict.Better, Overall(good, Measure.Offset).Verdict);
        Comparison poor = Compare(Blurred(before), Blurred(after));
        ComparisonRow row = Overall(poor, Measure.Offset);
        Assert.Equal(Verdict.CannotTell, row.Verdict);
        Assert.True(row.PhotoU > row.LinesU);
        Assert.Contains("photos", row.Sentence, StringComparison.Ordinal);

        static AccuracyReport Blurred(AccuracyReport r) => r with { Block = r.Block! with { CornerUncertaintyPx = 1.5 * r.Block.PixelsPerMm } };
        static Comparison Compare(AccuracyReport a, AccuracyReport b) =>
            BlockComparer.Compare(new ComparedBlock(a, "a", 0.5), new ComparedBlock(b, "b", 0.5));
    }

    [Fact]
    public void FewerThanFourLines_CannotTell()
    {
        ComparedBlock a = TestBlocks.Block(TestBlocks.Steady, 8, "square", 2.6, 150), b = TestBlocks.Block(TestBlocks.Steady with { WobbleMm = 0.1 }, 9, "square", 2.6, 150);
        Comparison c = BlockComparer.Compare(a, b);
        Assert.All(c.Rows.Where(r => r.Family is not null && r.Measure != Measure.Crossing), r => Assert.Equal(Verdict.CannotTell, r.Verdict));
    }

    // External check A5: peak-to-valley grows with length alone, so other grids are compared over equal stretches.
    [Fact]
    public void OtherGrid_IsSaid_AndWobbleTakenOverEqualStretches()
    {
        ComparedBlock small = TestBlocks.Block(TestBlocks.Steady, 10, "square", 1, 152.4), large = TestBlocks.Block(TestBlocks.Steady, 11, "square", 1, 304.8);
        Comparison c = BlockComparer.Compare(small, large);
        Assert.False(c.SameGrid);
        Assert.True(c.WindowMm is >= 30 and <= 152.4);
        Assert.Contains(c.Notes, n => n.Contains("equal stretches", StringComparison.Ordinal));
        ComparisonRow total = Overall(c, Measure.Total);
        Assert.Equal(Verdict.NoDifferenceShown, total.Verdict);
        // Whole lines would differ by their length: the mean full swing of the long ones is larger.
        Assert.True(large.Lines.Average(l => l.PeakToValleyMm) > 1.1 * small.Lines.Average(l => l.PeakToValleyMm));
        Assert.True(Math.Abs(total.Difference) < 0.5 * (large.Lines.Average(l => l.PeakToValleyMm) - small.Lines.Average(l => l.PeakToValleyMm)) + total.DetectableChange);
    }

    // A square grid's lines alone (analytic): the mean of line values has the jackknife variance s²/n.
    [Fact]
    public void ClusteredDifference_OfOneFamilyAgainstNothing_IsTheStandardErrorOfAMean()
    {
        Item[] items = [.. new[] { 0.2, 0.5, 0.9, 0.4, 0.7 }.Select((v, i) => new Item($"{i}", 0, v, 1, [i]))];
        ClusteredDifference j = ClusteredDifference.Of(items, [new Item("", -1, 0, 1, [])], false, _ => 0, _ => 0);
        Assert.Equal(0.54, j.Before, 12);
        Assert.Equal(Analyzer.Practice.Statistics.Samples.Variance([0.2, 0.5, 0.9, 0.4, 0.7]) / 5, j.Variance, 12);
        Assert.Equal(4, j.Df, 9);
    }

    // By hand: shares 1/4, 1/4, 1/2; mean 2; squared pulls 1/16 each over 3/4; degrees of freedom 1/(3/8 + 13/72) = 1.8.
    [Fact]
    public void ClusteredDifference_OfUnequalLines_IsBellAndMcCaffreys()
    {
        (double Value, double Weight)[] lines = [(1, 1), (3, 1), (2, 2)];
        Item[] items = [.. lines.Select((l, i) => new Item($"{i}", 0, l.Value, l.Weight, [i]))];
        ClusteredDifference d = ClusteredDifference.Of(items, [new Item("", -1, 0, 1, [])], false, _ => 0, _ => 0);
        Assert.Equal(2, d.Before, 12);
        Assert.Equal(1.0 / 6, d.Variance, 12);
        Assert.Equal(1.8, d.Df, 12);
    }

    // F17 (Villarrubia, Mack): what the report says was taken out as noise is taken out here too, so a noisier photo of one block tells the same wobble.
    [Fact]
    public void Noise_IsTheReportsOwn_AndDoesNotCountAsWobble()
    {
        AccuracyReport clear = TestBlocks.Report(TestBlocks.Steady with { ClaimLogSd = 0, ShapeUMm = 0.01 }, 12, "triangle"), noisy = TestBlocks.Report(TestBlocks.Steady with { ClaimLogSd = 0, ShapeUMm = 0.15 }, 12, "triangle");
        noisy = noisy with { ErrorBudget = noisy.ErrorBudget! with { ShapeUMm = 0.01 } };
        var block = new ComparedBlock(noisy, "noisy", 0.5);
        Assert.Equal(0.15, block.NoiseMm, 12);
        Comparison c = BlockComparer.Compare(new ComparedBlock(clear, "clear", 0.5), block);
        foreach (Measure m in new[] { Measure.Wobble, Measure.Total })
        {
            ComparisonRow row = Overall(c, m);
            Assert.InRange(row.After / row.Before, 0.93, 1.07);
        }
    }

    // Analytic: a full 4 x 4 lattice of independent crossings has variance s²/16, not twice that.
    [Fact]
    public void ClusteredDifference_OfIndependentCrossings_DoesNotCountThemTwice()
    {
        double ratio = 0;
        for (int seed = 0; seed < 200; seed++)
        {
            var random = new Random(seed);
            Item[] items = [.. from r in Enumerable.Range(0, 8) from k in Enumerable.Range(0, 8) select new Item($"{r}x{k}", -1, MathNet.Numerics.Distributions.Normal.Sample(random, 1, 0.3), 1, new[] { r, 8 + k })];
            ratio += ClusteredDifference.Of(items, [new Item("", -1, 0, 1, [])], false, l => l < 8 ? 0 : 1, _ => 2).Variance / (0.09 / 64) / 200;
        }
        // Never below the larger of the two families' parts, so a little above 1.
        Assert.InRange(ratio, 0.95, 1.4);
    }

    [Fact]
    public void ReportWithoutLines_IsRefusedInOneSentence()
    {
        var empty = new AccuracyReport { Outcome = "not-measurable" };
        FormatException trouble = Assert.Throws<FormatException>(() => new ComparedBlock(empty, "x.json", 0.5));
        Assert.Contains("x.json", trouble.Message, StringComparison.Ordinal);
    }

    // A small run of what tools/bench pairs shows over 1,000 pairs: with 150 pairs at most 5 % + two standard errors (3.6 points).
    [Fact]
    public void NoTrueChange_IsSeldomCalled_AndTheIntervalHoldsZero()
    {
        int alarms = 0, covered = 0, rows = 0;
        const int pairs = 150;
        for (int i = 0; i < pairs; i++)
        {
            Comparison c = BlockComparer.Compare(TestBlocks.Block(new Skill(), 40_000 + 2 * i), TestBlocks.Block(new Skill(), 40_001 + 2 * i));
            if (c.Rows.Any(r => r.Verdict is Verdict.Better or Verdict.Worse)) alarms++;
            covered += c.Rows.Count(r => r.Low <= 0 && r.High >= 0);
            rows += c.Rows.Count;
        }
        Assert.True(100.0 * alarms / pairs <= 8.6, $"{alarms} of {pairs}");
        Assert.InRange(100.0 * covered / rows, 93, 98);
    }
}
