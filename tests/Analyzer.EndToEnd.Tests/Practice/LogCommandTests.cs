using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Planning;

namespace Analyzer.EndToEnd.Tests.Practice;

/// <summary>log, from the command line to its file and pages.</summary>
public class LogCommandTests
{
    [Fact]
    public void AddListShowExportImportRemove_GoTheWholeWay()
    {
        using var scratch = new Scratch();
        string log = scratch.At("log.db"), report = InventedFiles.Report(scratch, "monday.json", InventedFiles.Steady with { FamilyOffsetMm = [-1.4] }, 1);
        Ran add = Ran.Words("log", "add", report, "--who", "me", "--date", "2026-03-02", "--minutes", "40", "--machine", "mid-arm", "--log", log);
        Assert.Equal((0, ""), (add.ExitCode, add.Error));
        Ran again = Ran.Words("log", "add", report, "--who", "me", "--log", log);
        Assert.Equal(1, again.ExitCode);
        Assert.Contains("in the log of me already", again.Error, StringComparison.Ordinal);
        Assert.Contains("2026-03-02", Ran.Words("log", "list", "--log", log).Out, StringComparison.Ordinal);
        Ran show = Ran.Words("log", "show", "1", "--out", scratch.Report, "--log", log);
        Assert.Contains("mid-arm", show.Out, StringComparison.Ordinal);
        Assert.Contains("above the mark", show.Out, StringComparison.Ordinal);
        Assert.Equal(ReportJson.Write(ReportJson.Read(File.ReadAllText(report))), ReportJson.Write(ReportJson.Read(File.ReadAllText(Path.Combine(scratch.Report, "report.json")))));
        Assert.DoesNotMatch(@"\d mm\b", Ran.Words("log", "show", "1", "--units", "in", "--log", log).Out);

        string zip = scratch.At("all.zip"), other = scratch.At("other.db");
        Assert.Equal(0, Ran.Words("log", "export", zip, "--log", log).ExitCode);
        Assert.Contains("1 of 1", Ran.Words("log", "import", zip, "--log", other).Out, StringComparison.Ordinal);
        Assert.Contains("0 of 1", Ran.Words("log", "import", zip, "--log", other).Out, StringComparison.Ordinal);

        Ran refused = Ran.Words("log", "remove", "1", "--log", log);
        Assert.NotEqual(0, refused.ExitCode);
        Assert.Contains("Nothing was removed", refused.Error, StringComparison.Ordinal);
        Assert.Equal(0, Ran.Words("log", "remove", "1", "--yes", "--log", log).ExitCode);
        Assert.Contains("empty", Ran.Words("log", "list", "--log", log).Out, StringComparison.Ordinal);
    }

    // Eight blocks whose wobble falls with practice and that are ever slower: the trend, the curve's sentence and the page with both units.
    [Fact]
    public void Progress_OfALearner_WritesThePage()
    {
        using var scratch = new Scratch();
        string log = scratch.At("log.db");
        for (int i = 0; i < 8; i++)
        {
            string report = InventedFiles.Report(scratch, $"b{i}.json", InventedFiles.Steady with { WobbleMm = 0.2 + 0.6 * Math.Exp(-0.5 * i) }, 20 + i);
            string day = new DateOnly(2026, 1, 1).AddDays(7 * i).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            Assert.Equal(0, Ran.Words("log", "add", report, "--who", "me", "--date", day, "--minutes", "60", "--block-minutes", $"{10 + i}", "--log", log).ExitCode);
        }
        Ran ran = Ran.Words("log", "progress", "--log", log, "--out", scratch.Report, "--units", "in");
        Assert.Equal((0, ""), (ran.ExitCode, ran.Error));
        Assert.Contains("getting better", ran.Out, StringComparison.Ordinal);
        Assert.DoesNotMatch(@"\d mm\b", ran.Out);
        string page = File.ReadAllText(Path.Combine(scratch.Report, "progress.html"));
        Assert.Contains("<svg", page, StringComparison.Ordinal);
        Assert.DoesNotMatch(@"\d mm\b", page);
        Assert.DoesNotContain("NaN", page, StringComparison.Ordinal);
    }

    // A plan stored with the block says in which order its lines were sewn; later lines wobble more.
    [Fact]
    public void Show_WithItsPlan_SaysThatLaterLinesAreWorse()
    {
        using var scratch = new Scratch();
        string log = scratch.At("log.db");
        Assert.Equal(0, Ran.Words("plan", "--size", "8in", "--grid", "triangle:1in", "--out", scratch.At("plan")).ExitCode);
        string planPath = Path.Combine(scratch.At("plan"), "plan.json");
        StitchPlan plan = PlanFile.Read(File.ReadAllText(planPath));
        AccuracyReport report = ReportJson.Read(File.ReadAllText(InventedFiles.Report(scratch, "a.json", InventedFiles.Steady with { OffsetSdMm = 0.3, WobbleMm = 0.3, WobbleCorrelation = 0.8 }, 15, plan.Grid)));
        var place = plan.LineOrder.Select((id, i) => (id, i)).ToDictionary(x => x.id, x => x.i);
        report = report with { Lines = [.. report.Lines.Select(l => l with { Samples = [.. l.Samples.Select(s => s with { DeviationMm = s.DeviationMm * (1 + 3.0 * place[l.Id] / place.Count) })] })] };
        string tired = scratch.File("tired.json", System.Text.Encoding.UTF8.GetBytes(ReportJson.Write(report)));
        Assert.Equal(0, Ran.Words("log", "add", tired, "--who", "me", "--plan-file", planPath, "--log", log).ExitCode);
        Assert.Contains("Lines sewn last wobble", Ran.Words("log", "show", "1", "--log", log).Out, StringComparison.Ordinal);
        Assert.Equal(0, Ran.Words("log", "add", tired, "--who", "other", "--log", log).ExitCode);
        Assert.DoesNotContain("Lines sewn last", Ran.Words("log", "show", "2", "--log", log).Out, StringComparison.Ordinal);
    }

    [Fact]
    public void BadCalls_AreOneSentence()
    {
        using var scratch = new Scratch();
        string log = scratch.At("log.db");
        Ran.Words("log").ShouldFailWithOneSentence(2);
        Ran.Words("log", "dance").ShouldFailWithOneSentence(2);
        Ran.Words("log", "list", "--log", log).ShouldFailWithOneSentence(2);
        Ran.Words("log", "add", "--who", "me", "--log", log).ShouldFailWithOneSentence(2);
        Ran.Words("log", "add", "--who", "me", "--minutes", "many", "--log", log).ShouldFailWithOneSentence(2);
        Ran.Words("log", "add", "--minutes", "10", "--log", log).ShouldFailWithOneSentence(2);
        Assert.False(File.Exists(log), "a call that failed made a log");
    }
}
