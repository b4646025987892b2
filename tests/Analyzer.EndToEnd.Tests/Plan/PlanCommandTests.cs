using System.Globalization;
using System.Text.Json;
using Analyzer.Core.Report;
using Analyzer.EndToEnd.Tests.Measure;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Planning;
using Analyzer.Practice.Log;
using Analyzer.Practice.Simulation;

namespace Analyzer.EndToEnd.Tests.Plan;

/// <summary>From the plan command's line to its files, and from plan.json to a measured block.</summary>
public class PlanCommandTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    private static readonly string[] AllFiles = ["path.html", "path.pdf", "path.svg", "plan.json", "steps.txt", "summary.html", "template.pdf", "template.svg"];

    private static string[] Names(string folder) => [.. Directory.EnumerateFileSystemEntries(folder).Select(p => Path.GetFileName(p)).Order(StringComparer.Ordinal)];

    [Fact]
    public void Plan_WritesEveryFile_AndNothingElse()
    {
        using var scratch = new Scratch();
        Ran ran = Ran.Words("plan", "--size", "12in", "--grid", "triangle:1in", "--corner-marks", "--paper", "letter", "--out", scratch.Report);
        Assert.Equal((0, ""), (ran.ExitCode, ran.Error));
        Assert.Equal(AllFiles, Names(scratch.Report));
        string Text(string name) => File.ReadAllText(Path.Combine(scratch.Report, name));
        StitchPlan plan = PlanFile.Read(Text("plan.json"));
        Assert.Equal(plan.Grid.Lines.Count, plan.LineOrder.Count);
        // The marks of the template: 12 mm wide, 4 mm outside each corner, clockwise from the top left.
        Assert.Equal([0, 1, 2, 3], plan.CornerMarks.Select(m => m.Id));
        Assert.Equal((-16, -16), (plan.CornerMarks[0].Corners[0].Xmm, plan.CornerMarks[0].Corners[0].Ymm));
        Assert.Equal((304.8 + 16, 304.8 + 16), (plan.CornerMarks[2].Corners[2].Xmm, plan.CornerMarks[2].Corners[2].Ymm));
        Assert.Equal("%PDF-", Text("path.pdf")[..5]);
        Assert.Equal("%PDF-", Text("template.pdf")[..5]);
        using JsonDocument json = JsonDocument.Parse(Text("plan.json"));
        int steps = json.RootElement.GetProperty("route").GetProperty("steps").GetArrayLength();
        Assert.Equal(steps, Text("steps.txt").Split('\n', StringSplitOptions.RemoveEmptyEntries).Length);
        foreach (string page in (string[])["path.html", "summary.html"])
        {
            Assert.Contains("<svg", Text(page), StringComparison.Ordinal);
            Assert.DoesNotContain("{{", Text(page), StringComparison.Ordinal);
            Assert.DoesNotContain("http://", Text(page).Replace("http://www.w3.org", "", StringComparison.Ordinal), StringComparison.Ordinal);
        }
        Assert.Contains("thread cuts", ran.Out, StringComparison.Ordinal);
        Assert.Contains("scrap", ran.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void MeasureWithPlan_ComparesWithTheVeryGrid_AndKnowsTheOrder()
    {
        using var scratch = new Scratch();
        Assert.Equal(0, Ran.Words(["plan", .. block.GridWords(), "--out", scratch.At("plan")]).ExitCode);
        string planPath = Path.Combine(scratch.At("plan"), "plan.json");
        Ran ran = Ran.Words(["measure", scratch.File("block.jpg", block.Jpeg), "--plan", planPath, .. block.CornerWords(), "--no-pictures", "--out", scratch.Report]);
        Assert.Equal(0, ran.ExitCode);
        AccuracyReport report = ReportJson.Read(File.ReadAllText(Path.Combine(scratch.Report, "report.json")));
        StitchPlan plan = PlanFile.Read(File.ReadAllText(planPath));
        Assert.Equal(plan.Grid.Lines.Select(l => l.Id), report.Lines.Select(l => l.Id));
        foreach ((FamilyInfo told, Analyzer.Core.Pattern.LineFamily meant) in report.Grid!.Families.Zip(plan.Grid.Families))
            Assert.Equal((meant.AngleDeg, meant.SpacingMm, meant.Through.Xmm, meant.Through.Ymm), (told.AngleDeg, told.SpacingMm, told.ThroughMm[0], told.ThroughMm[1]));
        Assert.Equal(string.Join(' ', plan.LineOrder), report.Settings["stitchingOrder"]);
        // The directions too: step by step, a line whose step begins at its far end was sewn back.
        Assert.Equal(string.Join(' ', plan.Backward!), report.Settings["stitchedBackward"]);
        Assert.NotEmpty(plan.Backward!);
        Assert.True(plan.Backward!.Count < plan.LineOrder.Count);
    }

    [Theory]
    [InlineData("\"schema\": \"stitch-plan/1\"", "\"schema\": \"stitch-plan/9\"", "schema")]
    [InlineData("\"widthMm\": 203.2", "\"widthMm\": \"wide\"", "block.widthMm")]
    [InlineData("\"spacingMm\": 25.4", "\"spacingMm\": -3", "grid.families[0].spacingMm")]
    [InlineData("\"angleDeg\": 0", "\"angleDegrees\": 0", "grid.families[0].angleDeg")]
    [InlineData("\"lineOrder\"", "\"lines\"", "route.lineOrder")]
    [InlineData("\"cornersMm\"", "\"corners\"", "cornerMarks.marks[0].cornersMm")]
    [InlineData("\"id\": 1", "\"id\": 2", "cornerMarks.marks[1].cornersMm")]
    public void BadPlan_IsOneSentenceThatNamesTheField(string right, string wrong, string field)
    {
        using var scratch = new Scratch();
        Assert.Equal(0, Ran.Words("plan", "--size", "8in", "--grid", "square:1in", "--corner-marks", "--out", scratch.At("plan")).ExitCode);
        string path = Path.Combine(scratch.At("plan"), "plan.json"), text = File.ReadAllText(path);
        int at = text.IndexOf(right, StringComparison.Ordinal);
        Assert.True(at >= 0, $"the plan does not hold {right}");
        File.WriteAllText(path, text[..at] + wrong + text[(at + right.Length)..]);
        Ran ran = Ran.Words("measure", scratch.File("block.jpg", [1]), "--plan", path, "--out", scratch.Report).ShouldFailWithOneSentence(2);
        Assert.Contains($"\"{field}\"", ran.Error, StringComparison.Ordinal);
        scratch.ShouldHoldNoReport();
    }

    [Fact]
    public void WhichGrid_PrintsSharesForEverySpacing()
    {
        Ran ran = Ran.Words("plan", "--size", "12in", "--grid", "triangle:1in", "--wobble", "0.3mm", "--crossing-error", "0.6mm", "--spacings", "3/4in,1in,2in");
        Assert.Equal((0, ""), (ran.ExitCode, ran.Error));
        Assert.Contains("look closed", ran.Out, StringComparison.Ordinal);
        foreach (string spacing in (string[])["3/4 in", "1 in", "2 in"])
            Assert.Contains(ran.Out.Split('\n'), line => line.StartsWith(spacing, StringComparison.Ordinal) && line.Contains('%', StringComparison.Ordinal));
    }

    // Half the planned minutes in the log are a pace of a half: the planned time halves.
    [Fact]
    public void PaceOfTheLog_ScalesTheTime()
    {
        using var scratch = new Scratch();
        string[] words = ["plan", "--size", "8in", "--grid", "square:1in"];
        Assert.Equal(0, Ran.Words([.. words, "--out", scratch.At("plan")]).ExitCode);
        string planPath = Path.Combine(scratch.At("plan"), "plan.json"), log = scratch.At("log.db");
        double planned = Total(planPath);
        StitchPlan plan = PlanFile.Read(File.ReadAllText(planPath));
        string report = scratch.File("report.json", System.Text.Encoding.UTF8.GetBytes(ReportJson.Write(InventedBlock.Make(plan.Grid, new Skill(), 1))));
        string minutes = (planned / 2).ToString("0.000", CultureInfo.InvariantCulture);
        Assert.Equal(0, Ran.Words("log", "add", report, "--who", "me", "--block-minutes", minutes, "--plan-file", planPath, "--log", log).ExitCode);
        Ran ran = Ran.Words([.. words, "--pace-of", "me", "--log", log, "--out", scratch.Report]);
        Assert.Equal((0, ""), (ran.ExitCode, ran.Error));
        Assert.Equal(planned / 2, Total(Path.Combine(scratch.Report, "plan.json")), 1);
        Assert.Contains("1 logged block", ran.Out, StringComparison.Ordinal);
        Ran.Words([.. words, "--pace-of", "nobody", "--log", log, "--out", scratch.Report]).ShouldFailWithOneSentence(2);

        static double Total(string path)
        {
            using JsonDocument json = JsonDocument.Parse(File.ReadAllText(path));
            return json.RootElement.GetProperty("time").GetProperty("totalMin").GetDouble();
        }
    }

    [Theory]
    [InlineData("--order", "backwards")]
    [InlineData("--start", "middle")]
    [InlineData("--paper", "a3")]
    [InlineData("--pace", "fast")]
    [InlineData("--stitch-length", "3")]
    [InlineData("--line-weight", "9cm")]
    public void BadOption_IsOneSentence_AndLeavesNothing(string option, string value)
    {
        using var scratch = new Scratch();
        Ran ran = Ran.Words("plan", "--size", "8in", "--grid", "square:1in", option, value, "--out", scratch.Report).ShouldFailWithOneSentence(2);
        Assert.Contains(option, ran.Error, StringComparison.Ordinal);
        scratch.ShouldHoldNoReport();
    }
}
