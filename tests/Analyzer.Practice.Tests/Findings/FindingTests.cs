using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Simulation;

namespace Analyzer.Practice.Tests.Findings;

/// <summary>Each rule of the table on a block that was made to show it, and all together on blocks that show nothing.</summary>
public class FindingTests
{
    // No habit at all: placement scatter and wobble of one size, so that neither stands out.
    private static Skill Plain => TestBlocks.Steady with { DistortionMm = 0, OffsetSdMm = 0.3, WobbleMm = 0.3, AimMm = 0, AngleSdDeg = 0.05, WobbleCorrelation = 0.8, OvershootSdMm = 0.3 };

    private static Finding Expect(FindingList list, string code) =>
        list.Findings.FirstOrDefault(f => f.Code == code) ?? throw new Xunit.Sdk.XunitException($"No {code} among: {string.Join(" | ", list.Findings.Select(f => f.Code + " " + f.Sentence))}");

    [Fact]
    public void Placement_HighByOneMillimetre_IsFoundWithItsNumber()
    {
        Finding f = Expect(FindingReader.Read(TestBlocks.Block(Plain with { FamilyOffsetMm = [-1.0] }, 1)), "placement-A");
        Assert.Contains("above the mark", f.Sentence, StringComparison.Ordinal);
        Assert.Contains("the ruler sits high", f.Sentence, StringComparison.Ordinal);
        Assert.InRange(-f.Test.Estimate, 0.6, 1.4);
        Assert.Contains("1/4 in", f.Drill, StringComparison.Ordinal);
        Assert.True(f.SharePercent > 20);
    }

    [Fact]
    public void Placement_OfLinesDown_IsSaidLeftOrRight() =>
        Assert.Contains("to the right of the mark", Expect(FindingReader.Read(TestBlocks.Block(Plain with { FamilyOffsetMm = [0, 1.0] }, 2)), "placement-B").Sentence, StringComparison.Ordinal);

    [Fact]
    public void Rotation_IsFoundWithItsSense() =>
        Assert.Contains("clockwise by 0.6", Expect(FindingReader.Read(TestBlocks.Block(Plain with { FamilyAngleDeg = [0.6] }, 3)), "rotation-A").Sentence, StringComparison.Ordinal);

    [Fact]
    public void Scatter_LargerThanWobble_IsFound() =>
        Expect(FindingReader.Read(TestBlocks.Block(Plain with { OffsetSdMm = 1.2, WobbleMm = 0.1 }, 4, "triangle")), "scatter");

    [Fact]
    public void Steering_LargerThanScatter_IsFound() =>
        Assert.Contains("Steering", Expect(FindingReader.Read(TestBlocks.Block(Plain with { OffsetSdMm = 0.1, WobbleMm = 0.6 }, 5, "triangle")), "steering").Sentence, StringComparison.Ordinal);

    [Fact]
    public void WorstFamily_WobblingTwice_IsFound()
    {
        AccuracyReport report = TestBlocks.Report(Plain with { OffsetSdMm = 0.5, WobbleMm = 0.3 }, 6);
        report = Scaled(report, line => line.Family == 1, _ => true, 2.5);
        Expect(FindingReader.Read(new ComparedBlock(report, "x", 0.5)), "family-wobble-B");
    }

    [Fact]
    public void Halves_WithAWilderEnd_AreFound()
    {
        AccuracyReport report = Scaled(TestBlocks.Report(Plain, 7), line => line.Family == 0, s => s > 101.6, 3);
        Assert.Contains("right half", Expect(FindingReader.Read(new ComparedBlock(report, "x", 0.5)), "half-A").Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Edge_WilderThanTheMiddle_IsFound()
    {
        AccuracyReport report = Scaled(TestBlocks.Report(Plain with { WobbleCorrelation = 0.5 }, 8), _ => true, s => s is < 25 or > 178, 3);
        Expect(FindingReader.Read(new ComparedBlock(report, "x", 0.5)), "edge");
    }

    [Fact]
    public void Aim_BendingAtEveryCrossing_IsFound() =>
        Assert.Contains("below their own straight line", Expect(FindingReader.Read(TestBlocks.Block(Plain with { FamilyAimMm = [1.0], WobbleMm = 0.15, OffsetSdMm = 0.15 }, 9, "square", 1.5)), "aim-A").Sentence, StringComparison.Ordinal);

    [Fact]
    public void CrossingWobble_IsFound() =>
        Expect(FindingReader.Read(TestBlocks.Block(Plain with { AimMm = 1.0, WobbleMm = 0.15 }, 10, "square", 1.5)), "crossing-wobble");

    [Fact]
    public void ThirdLine_PassingLow_IsFoundOnce()
    {
        FindingList list = FindingReader.Read(TestBlocks.Block(Plain with { FamilyOffsetMm = [0, 0, 0.9], OffsetSdMm = 0.15, WobbleMm = 0.15 }, 11, "triangle"));
        Finding f = Assert.Single(list.Findings, f => f.Kind is "third-line" or "placement" && (f.Kind == "third-line" || f.Code == "placement-C"));
        Assert.Contains("low", f.InCommon, StringComparison.Ordinal);
    }

    [Fact]
    public void Overshoot_PastTheDitch_IsFound() =>
        Assert.Contains("run past the ditch by 1.", Expect(FindingReader.Read(TestBlocks.Block(Plain with { OvershootMm = 1.3 }, 12)), "overshoot").Sentence, StringComparison.Ordinal);

    [Fact]
    public void Overshoot_TooSmallToMatter_IsNoFinding_HoweverSure() =>
        Assert.DoesNotContain(FindingReader.Read(TestBlocks.Block(Plain with { OvershootMm = 0.3, OvershootSdMm = 0.05 }, 12)).Findings, f => f.Kind == "overshoot");

    [Fact]
    public void Alternate_LinesSetBackAndForth_AreFound()
    {
        AccuracyReport report = TestBlocks.Report(Plain with { OffsetSdMm = 0.15, WobbleMm = 0.15 }, 13, "square", 0.5);
        report = report with { Lines = [.. report.Lines.Select(l => l with { Samples = [.. l.Samples.Select(s => s with { DeviationMm = s.DeviationMm + (l.Family == 0 && l.Index % 2 == 0 ? 0.8 : 0) })] })] };
        Expect(FindingReader.Read(new ComparedBlock(report, "x", 0.5)), "alternate-A");
    }

    [Fact]
    public void Bow_SharedByAFamily_IsFound()
    {
        AccuracyReport report = TestBlocks.Report(Plain with { OffsetSdMm = 0.15, WobbleMm = 0.15 }, 14);
        report = report with { Lines = [.. report.Lines.Select(l => l with { Samples = [.. l.Samples.Select(s => s with { DeviationMm = s.DeviationMm + (l.Family == 0 ? 1.2 * (4 * s.AlongMm / 203.2 * (1 - s.AlongMm / 203.2) - 2.0 / 3) : 0) })] })] };
        Assert.Contains("share a bow", Expect(FindingReader.Read(new ComparedBlock(report, "x", 0.5)), "bow-A").Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Order_TiringTowardTheEnd_IsFoundWhenTheOrderIsKnown()
    {
        AccuracyReport report = TestBlocks.Report(Plain, 15, "triangle");
        string[] order = [.. report.Lines.Select(l => l.Id)];
        for (int i = 0; i < order.Length; i++)
        {
            string id = order[i];
            report = Scaled(report, l => l.Id == id, _ => true, 1 + 2.0 * i / order.Length);
        }
        var block = new ComparedBlock(report, "x", 0.5);
        Assert.Contains("sewn last wobble", Expect(FindingReader.Read(block, order), "order").Sentence, StringComparison.Ordinal);
        Assert.DoesNotContain(FindingReader.Read(block).Findings, f => f.Kind == "order");
    }

    // Lines at odd places are sewn back: what they have of their own is the direction's.
    private static ComparedBlock Sewn(AccuracyReport report, bool known = true) => new(known
        ? report with { Settings = FindingReader.WithSewing(report.Settings, null, [.. report.Lines.Where(l => l.Index % 2 != 0).Select(l => l.Id)]) } : report, "x", 0.5);

    [Fact]
    public void TravelPlace_LinesSewnBackLyingLower_IsFoundWhenTheDirectionsAreKnown()
    {
        AccuracyReport report = TestBlocks.Report(Plain with { OffsetSdMm = 0.15, WobbleMm = 0.15 }, 16, "square", 0.5);
        report = report with { Lines = [.. report.Lines.Select(l => l with { Samples = [.. l.Samples.Select(s => s with { DeviationMm = s.DeviationMm + (l.Family == 0 && l.Index % 2 != 0 ? 0.8 : 0) })] })] };
        Assert.Contains("higher when sewn toward the right than when sewn toward the left", Expect(FindingReader.Read(Sewn(report)), "travel-place-A").Sentence, StringComparison.Ordinal);
        Assert.DoesNotContain(FindingReader.Read(Sewn(report)).Findings, f => f.Kind == "alternate");
        Assert.DoesNotContain(FindingReader.Read(Sewn(report, known: false)).Findings, f => f.Kind == "travel-place");
    }

    [Fact]
    public void TravelWobble_OneWayWilder_IsFoundWhenTheDirectionsAreKnown()
    {
        AccuracyReport report = Scaled(TestBlocks.Report(Plain, 17, "square", 0.5), l => l.Family == 1 && l.Index % 2 != 0, _ => true, 2.5);
        Assert.Contains("more when sewn toward the", Expect(FindingReader.Read(Sewn(report)), "travel-wobble-B").Sentence, StringComparison.Ordinal);
    }

    // Every rule has its test above; a rule added to the table without one fails here.
    [Fact]
    public void EveryRule_HasItsTest()
    {
        string[] tested = ["placement", "rotation", "scatter", "steering", "family-wobble", "crossing-wobble", "half", "edge", "aim", "third-line", "overshoot", "alternate", "travel-place", "travel-wobble", "bow", "order"];
        Assert.Equal(tested.Order(), FindingRules.All.Select(r => r.Kind).Order());
        Assert.All(FindingRules.All, r => Assert.False(string.IsNullOrWhiteSpace(r.Drill) || string.IsNullOrWhiteSpace(r.Null)));
    }

    // No habit: at most 5 % of blocks may show a finding; of 300 blocks two standard errors are 2.5 points.
    [Theory]
    [InlineData("square")]
    [InlineData("triangle")]
    public void NoHabit_SeldomShowsAFinding(string grid)
    {
        int blocks = 300, shown = 0;
        var kinds = new List<string>();
        for (int i = 0; i < blocks; i++)
        {
            // Placement scatter is set so that squared placement and squared wobble balance, which is the null of that rule.
            FindingList list = FindingReader.Read(TestBlocks.Block(Balanced, 70_000 + i, grid));
            if (list.Findings.Count > 0) shown++;
            kinds.AddRange(list.Findings.Select(f => f.Code));
        }
        Assert.True(100.0 * shown / blocks <= 7.5, $"{shown} of {blocks}: {string.Join(", ", kinds.GroupBy(k => k).Select(g => $"{g.Key} {g.Count()}"))}");
    }

    private static Skill Balanced => Plain with { OffsetSdMm = 0.28 };

    private static AccuracyReport Scaled(AccuracyReport report, Func<LineReport, bool> which, Func<double, bool> where, double factor) => report with
    {
        Lines = [.. report.Lines.Select(line =>
        {
            if (!which(line) || line.Samples.Count == 0) return line;
            double offset = line.Samples.Average(s => s.DeviationMm);
            return line with { Samples = [.. line.Samples.Select(s => where(s.AlongMm) ? s with { DeviationMm = offset + factor * (s.DeviationMm - offset) } : s)] };
        })],
    };
}
