using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Practice;

/// <summary>class, from a folder to the page, the sheets and the table.</summary>
public class ClassCommandTests
{
    [Fact]
    public void Class_WithOneBadPhoto_WritesPageSheetsAndTable_AndIsResumable()
    {
        using var scratch = new Scratch();
        var low = InventedFiles.Steady with { FamilyOffsetMm = [1.2] };
        InventedFiles.Report(scratch, "class/Ada/1.json", low, 1);
        InventedFiles.Report(scratch, "class/Ada/2.json", InventedFiles.Steady with { FamilyOffsetMm = [1.2], WobbleMm = 0.9 }, 2);
        InventedFiles.Report(scratch, "class/Bo/1.json", low, 3);
        InventedFiles.Report(scratch, "class/cy-1.json", InventedFiles.Steady, 4);
        scratch.File(Path.Combine("class", "dee-1.jpg"), "no photo"u8.ToArray());
        string[] words = ["class", scratch.At("class"), "--size", "8in", "--grid", "square:1in", "--out", scratch.Report];
        Ran first = Ran.Words(words);
        Assert.Equal((0, ""), (first.ExitCode, first.Error));
        Assert.Contains("4 of 5 photos measured, 0 of them kept", first.Out, StringComparison.Ordinal);
        Assert.Contains("dee", first.Out, StringComparison.Ordinal);
        Assert.Contains("2 of 3 set the lines across (family A) low.", first.Out, StringComparison.Ordinal);
        string page = File.ReadAllText(Path.Combine(scratch.Report, "class.html"));
        foreach (string name in (string[])["Ada", "Bo", "cy", "dee"])
        {
            Assert.Contains(name, page, StringComparison.Ordinal);
            Assert.True(File.Exists(Path.Combine(scratch.Report, "sheets", name + ".html")), $"no sheet for {name}");
        }
        Assert.DoesNotMatch(@"\d mm\b", page);
        string[] rows = File.ReadAllLines(Path.Combine(scratch.Report, "class.csv"));
        Assert.Equal(5, rows.Length);
        Assert.StartsWith("person,photo,", rows[0], StringComparison.Ordinal);
        Assert.Contains("4 of them kept", Ran.Words(words).Out, StringComparison.Ordinal);
    }

    [Fact]
    public void BadCalls_AreOneSentence()
    {
        using var scratch = new Scratch();
        Directory.CreateDirectory(scratch.At("empty"));
        Ran.Words("class", scratch.At("empty"), "--out", scratch.Report).ShouldFailWithOneSentence(2);
        Ran.Words("class", scratch.At("none"), "--out", scratch.Report).ShouldFailWithOneSentence(2);
        Ran.Words("class", scratch.At("empty")).ShouldFailWithOneSentence(2);
        scratch.ShouldHoldNoReport();
    }
}
