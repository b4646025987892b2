using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>Options that make no sense: exit code 2 and one sentence that says which and why, before anything is written.</summary>
public class BadOptionTests
{
    private static Ran Refused(Scratch scratch, params string[] options)
    {
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        Ran ran = Ran.Words(["measure", photo, "--out", scratch.Report, .. options]);
        ran.ShouldFailWithOneSentence(2);
        scratch.ShouldHoldNoReport();
        return ran;
    }

    [Theory]
    [InlineData("100,100 800,110 790,600 950,590", "corner 4")] // beyond the right edge of 900 x 700 px
    [InlineData("-3,100 800,110 790,600 110,590", "corner 1")]
    [InlineData("100,100 800,110 790,700 110,590", "corner 3")] // the last row is 699, half a pixel more is allowed
    [InlineData("100,100 790,600 800,110 110,590", "corner 2")] // crossed: 2 and 3 swapped
    [InlineData("800,110 100,100 790,600 110,590", "corner 1")] // crossed: 1 and 2 swapped
    [InlineData("100,100 400,101 700,102 110,590", "corner 2")] // on the straight line between its neighbours
    [InlineData("100,100 300,300 400,400 600,600", "straight line")]
    [InlineData("100,100 110,590 790,600 800,110", "anticlockwise")]
    [InlineData("800,110 790,600 110,590 100,100", "corner 1 (top left) at 800,110 is really the top right one")]
    [InlineData("790,600 110,590 100,100 800,110", "corner 1 (top left) at 790,600 is really the bottom right one")]
    [InlineData("100,100 800,110 400,300 110,590", "corner 3")] // dented
    [InlineData("100,100 800,110 102,103 110,590", "same place")]
    [InlineData("100,100 800,110 790,600", "3 points")]
    [InlineData("100,100 800,110 790;600 110,590", "four")]
    [InlineData("100,100 800,abc 790,600 110,590", "corner 2")]
    [InlineData("100,100 800,NaN 790,600 110,590", "corner 2")]
    [InlineData("", "0 points")]
    public void WrongCorners_AreToldWhich(string corners, string mustSay)
    {
        using var scratch = new Scratch();
        Ran ran = Refused(scratch, "--size", "8in", "--grid", "square:1in", "--corners", corners);
        Assert.Contains("--corners", ran.Error, StringComparison.Ordinal);
        Assert.Contains(mustSay, ran.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("0in")]
    [InlineData("-8in")]
    [InlineData("5mm")]
    [InlineData("900in")]
    [InlineData("8")]
    [InlineData("eight")]
    [InlineData("NaNmm")]
    [InlineData("1e400mm")]
    [InlineData("8in x 6in x 4in")]
    public void AbsurdSize_IsTold(string size)
    {
        using var scratch = new Scratch();
        Assert.Contains("--size", Refused(scratch, "--size", size, "--grid", "square:1in").Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("square:0in")]
    [InlineData("square:-1in")]
    [InlineData("square:0.5mm")]
    [InlineData("square:40in")]
    [InlineData("triangle45:2mm")] // its diagonals would lie 1.4 mm apart
    [InlineData("square")]
    [InlineData("square:1")]
    [InlineData("hexagon:1in")]
    public void AbsurdGrid_IsTold(string grid)
    {
        using var scratch = new Scratch();
        Assert.Contains("--grid", Refused(scratch, "--size", "8in", "--grid", grid).Error, StringComparison.Ordinal);
    }

    [Fact]
    public void GridWithoutALineInTheBlock_IsTold()
    {
        using var scratch = new Scratch();
        Ran ran = Refused(scratch, "--size", "8in", "--lines", "0deg 8in 0mm,0mm");
        Assert.Contains("No line of this grid lies inside the block", ran.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--turn", "45")]
    [InlineData("--units", "ells")]
    public void SenselessChoice_IsTold(string option, string value)
    {
        using var scratch = new Scratch();
        Assert.Contains(option, Refused(scratch, "--size", "8in", "--grid", "square:1in", option, value).Error, StringComparison.Ordinal);
    }

    [Fact]
    public void MissingPieces_AreToldOneByOne()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        Assert.Contains("photo", Ran.Words("measure").ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        Assert.Contains("--size", Ran.Words("measure", photo, "--out", scratch.Report).ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        Assert.Contains("--grid", Ran.Words("measure", photo, "--size", "8in", "--out", scratch.Report).ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        Assert.Contains("--out", Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in").ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        Assert.Contains("--corners", Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--corners-exact", "--out", scratch.Report).ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
    }
}
