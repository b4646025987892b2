using System.Text.Json;
using System.Text.RegularExpressions;
using Analyzer.EndToEnd.Tests.Measure;
using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Practice;

/// <summary>compare, from the command line to its page.</summary>
public class CompareCommandTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    [Fact]
    public void TwoReports_GiveVerdictsPageAndJson()
    {
        using var scratch = new Scratch();
        string before = InventedFiles.Report(scratch, "before.json", InventedFiles.Steady with { WobbleMm = 0.7 }, 1), after = InventedFiles.Report(scratch, "after.json", InventedFiles.Steady with { WobbleMm = 0.2 }, 2);
        Ran ran = Ran.Words("compare", before, after, "--out", scratch.Report);
        Assert.Equal((0, ""), (ran.ExitCode, ran.Error));
        Assert.Contains("Better: ", ran.Out, StringComparison.Ordinal);
        Assert.Contains("would have shown", ran.Out, StringComparison.Ordinal);
        Assert.Equal(["compare.html", "compare.json"], Directory.EnumerateFiles(scratch.Report).Select(Path.GetFileName).Order());
        using JsonDocument json = JsonDocument.Parse(File.ReadAllText(Path.Combine(scratch.Report, "compare.json")));
        JsonElement wobble = json.RootElement.GetProperty("rows").EnumerateArray().First(r => r.GetProperty("measure").GetString() == "wobble" && r.GetProperty("family").ValueKind == JsonValueKind.Null);
        Assert.Equal("better", wobble.GetProperty("verdict").GetString());
        Assert.InRange(-0.5, wobble.GetProperty("low95").GetDouble(), wobble.GetProperty("high95").GetDouble());
    }

    [Fact]
    public void InInches_NoSentenceSpeaksOfMillimetres_ButTheJsonDoes()
    {
        using var scratch = new Scratch();
        var habit = InventedFiles.Steady with { FamilyOffsetMm = [-1.4], WobbleMm = 0.2 };
        string before = InventedFiles.Report(scratch, "before.json", InventedFiles.Steady with { WobbleMm = 0.7 }, 3), after = InventedFiles.Report(scratch, "after.json", habit, 4);
        Ran ran = Ran.Words("compare", before, after, "--units", "in", "--out", scratch.Report);
        Assert.Equal(0, ran.ExitCode);
        Assert.DoesNotMatch(@"\d mm\b", ran.Out);
        Assert.Matches(@"\d in\b", ran.Out);
        string page = Regex.Replace(File.ReadAllText(Path.Combine(scratch.Report, "compare.html")), "<style>.*?</style>", "", RegexOptions.Singleline);
        Assert.DoesNotMatch(@"\d mm\b|, mm\b", page);
        Assert.Contains("\"unit\": \"mm\"", File.ReadAllText(Path.Combine(scratch.Report, "compare.json")), StringComparison.Ordinal);
    }

    [Fact]
    public void PhotoAgainstItsOwnReport_ShowsNoDifference_AndBothPhotosInTheSlider()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("block.jpg", block.Jpeg);
        Assert.Equal(0, Ran.Words(["measure", photo, .. block.GridWords(), .. block.CornerWords(), "--out", scratch.At("measured")]).ExitCode);
        string corners = block.CornerWords()[^1];
        Ran ran = Ran.Words(["compare", scratch.At("measured"), photo, .. block.GridWords(), "--corners-after", corners, "--out", scratch.Report]);
        Assert.Equal(0, ran.ExitCode);
        Assert.Contains("same photo", ran.Out, StringComparison.Ordinal);
        Assert.DoesNotContain("Worse:", ran.Out, StringComparison.Ordinal);
        string page = File.ReadAllText(Path.Combine(scratch.Report, "compare.html"));
        Assert.Equal(2, Regex.Count(page, "<image [^>]*href='data:image/jpeg;base64,"));
    }

    [Fact]
    public void BadCalls_AreOneSentence()
    {
        using var scratch = new Scratch();
        string report = InventedFiles.Report(scratch, "a.json", InventedFiles.Steady, 5);
        Ran.Words("compare", report).ShouldFailWithOneSentence(2);
        Ran.Words("compare", report, scratch.At("none.json")).ShouldFailWithOneSentence(2);
        Ran.Words("compare", report, scratch.File("no.json", "{}"u8.ToArray())).ShouldFailWithOneSentence(2);
        Ran.Words("compare", report, report, "--tolerance", "wide").ShouldFailWithOneSentence(2);
        Ran.Words("compare", report, report, "--units", "feet").ShouldFailWithOneSentence(2);
    }
}
