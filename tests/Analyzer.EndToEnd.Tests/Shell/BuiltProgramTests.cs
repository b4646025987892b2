namespace Analyzer.EndToEnd.Tests.Shell;

/// <summary>The same through a process of its own: exit code and streams as a script sees them.</summary>
public class BuiltProgramTests
{
    [Fact]
    public void Help_EndsWithZero()
    {
        Ran ran = Ran.Program("--help");
        Assert.Equal(0, ran.ExitCode);
        Assert.Contains("measure", ran.Out, StringComparison.Ordinal);
        Assert.Equal("", ran.Error);
    }

    [Fact]
    public void MissingPhoto_IsOneSentenceAndNoReport()
    {
        using var scratch = new Scratch();
        Ran.Program("measure", scratch.At("none.jpg"), "--size", "8in", "--grid", "square:1in", "--out", scratch.Report).ShouldFailWithOneSentence(2);
        scratch.ShouldHoldNoReport();
    }

    [Fact]
    public void HugeHeader_IsRefusedBeforePixelsAreAllocated()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("huge.png", BadPictures.PngHeader(30_000, 30_000));
        Ran ran = Ran.Program("measure", photo, "--size", "8in", "--grid", "square:1in", "--out", scratch.Report);
        Assert.Contains("30000 x 30000", ran.ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        scratch.ShouldHoldNoReport();
    }
}
