using Analyzer.Core.Pattern;
using Analyzer.Planning.Pages;
using Analyzer.Planning.Route;
using Analyzer.Planning.Tests.Route;

namespace Analyzer.Planning.Tests;

/// <summary>plan.json written and read back; every fault named in one sentence.</summary>
public sealed class PlanFileTests
{
    private static BlockPlan Plan(string name = "triangle", double spacingMm = 25.4)
    {
        var size = new BlockSize(304.8, 254);
        return BlockPlan.Make(new IntendedGrid(size, NamedGrids.Families(name, new(spacingMm), size)!), new PlanSettings { GridName = name + ":1in" });
    }

    [Fact]
    public void Plan_WrittenAndRead_IsTheSameGridToTheLastBit()
    {
        var random = new Random(31);
        for (int made = 0; made < 40;)
        {
            if (Blocks.Random(random, 80) is not { } grid) continue;
            made++;
            BlockPlan plan = BlockPlan.Make(grid, new PlanSettings { GridName = "mine" });
            StitchPlan read = PlanFile.Read(PlanWriter.Write(plan));
            Assert.Equal(grid.Size, read.Grid.Size);
            Assert.Equal(grid.Families, read.Grid.Families);
            Assert.Equal(plan.Route.LineOrder, read.LineOrder);
            Assert.Equal("mine", read.GridName);
            Assert.Equal(plan.Settings.Inches, read.Inches);
            Assert.Equal(plan.Route.Steps.Where(s => s.LineId is not null && s.Points[0].DistanceTo(grid.Line(s.LineId).To) < s.Points[0].DistanceTo(grid.Line(s.LineId).From)).Select(s => s.LineId!), read.Backward);
        }
    }

    // I1: 11 stitches per inch are 25.4/11 = 2.3091 mm = 0.091 in; both are said in the unit of the plan.
    [Theory]
    [InlineData(true, "11 stitches per inch (0.091 in each) through 0.047 in of sandwich")]
    [InlineData(false, "stitches of 2.31 mm (11 per inch) through 1.2 mm of sandwich")]
    public void Amounts_AreToldInTheUnitOfThePlan(bool inches, string said)
    {
        BlockPlan metric = Plan();
        var thread = metric.Settings.Thread with { StitchMm = 25.4 / 11, ThicknessMm = 1.2 };
        BlockPlan plan = BlockPlan.Make(metric.Grid, metric.Settings with { Inches = inches, Thread = thread });
        Assert.Contains(said, SummaryPage.Assumed(plan), StringComparison.Ordinal);
        Assert.Equal(inches, PlanFile.Read(PlanWriter.Write(plan)).Inches);
    }

    [Theory]
    [InlineData("\"schema\": \"stitch-plan/1\"", "\"schema\": \"stitch-plan/9\"", "schema")]
    [InlineData("\"widthMm\": 304.8", "\"widthMm\": \"wide\"", "block.widthMm")]
    [InlineData("\"heightMm\": 254", "\"heightMm\": 1e9", "block.heightMm")]
    [InlineData("\"heightMm\": 254", "\"tall\": 254", "block.heightMm")]
    [InlineData("\"angleDeg\": 60", "\"angleDeg\": 600", "grid.families[0].angleDeg")]
    [InlineData("\"angleDeg\": -60", "\"angleDeg\": null", "grid.families[1].angleDeg")]
    [InlineData("\"spacingMm\": 25.4", "\"spacingMm\": 0", "grid.families[0].spacingMm")]
    [InlineData("\"families\": [", "\"families\": 3, \"other\": [", "grid.families")]
    [InlineData("\"angleDeg\": -60", "\"angleDeg\": 61", "grid.families")]
    [InlineData("\"throughMm\": [", "\"throughMm\": [1,2,3], \"other\": [", "grid.families[0].throughMm")]
    [InlineData("\"lineOrder\": [", "\"lineOrder\": [\"Z9\",", "route.lineOrder[0]")]
    [InlineData("\"lineOrder\": [", "\"lineOrder\": [], \"other\": [", "route.lineOrder")]
    public void BadPlan_NamesTheField(string right, string wrong, string field)
    {
        string json = PlanWriter.Write(Plan());
        int at = json.IndexOf(right, StringComparison.Ordinal);
        Assert.True(at >= 0, right);
        string bad = json[..at] + wrong + json[(at + right.Length)..];
        FormatException trouble = Assert.Throws<FormatException>(() => PlanFile.Read(bad));
        Assert.Contains($"\"{field}\"", trouble.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', trouble.Message);
    }

    [Theory]
    [InlineData("")]
    [InlineData("[]")]
    [InlineData("{}")]
    [InlineData("{\"schema\": \"stitch-plan/1\"")]
    [InlineData("null")]
    [InlineData("{\"schema\": \"stitch-accuracy-report/1\"}")]
    public void WrongFile_IsOneSentence(string text) => Assert.DoesNotContain('\n', Assert.Throws<FormatException>(() => PlanFile.Read(text)).Message);

    /// <summary>Cut anywhere, a plan is refused cleanly or (cut after its last brace) read.</summary>
    [Fact]
    public void TruncatedPlan_IsNeverAnotherException()
    {
        string json = PlanWriter.Write(Plan("square", 60));
        for (int length = 0; length < json.TrimEnd().Length; length += 7)
            Assert.Throws<FormatException>(() => PlanFile.Read(json[..length]));
    }

    [Fact]
    public void Pages_AreWholeAndNeedNoNetwork()
    {
        BlockPlan plan = Plan();
        foreach (string html in (string[])[PathPage.Html(plan), SummaryPage.Html(plan, ["It fits <well>."])])
        {
            Assert.DoesNotContain("{{", html, StringComparison.Ordinal);
            Assert.DoesNotContain("http://", html.Replace("http://www.w3.org/2000/svg", "", StringComparison.Ordinal), StringComparison.Ordinal);
            Assert.DoesNotContain("https://", html, StringComparison.Ordinal);
            Assert.DoesNotContain("src=", html, StringComparison.Ordinal);
        }
        Assert.Contains("It fits &lt;well&gt;.", SummaryPage.Html(plan, ["It fits <well>."]), StringComparison.Ordinal);
    }

    [Fact]
    public void StepTexts_AreOneForEachStep_AndNameEveryLine()
    {
        BlockPlan plan = Plan("triangle45");
        Assert.Equal(plan.Route.Steps.Count, plan.StepTexts.Count);
        Assert.StartsWith("Begin at the ", plan.StepTexts[0], StringComparison.Ordinal);
        Assert.EndsWith("lock the thread.", plan.StepTexts[^1], StringComparison.Ordinal);
        foreach (RouteStep step in plan.Route.Steps.Where(s => s.Kind == StepKind.Line))
            Assert.Contains($"line {step.LineId} ", plan.StepTexts[step.Number - 1], StringComparison.Ordinal);
        Assert.Contains("once round the block", plan.StepTexts[0], StringComparison.Ordinal);
    }
}
