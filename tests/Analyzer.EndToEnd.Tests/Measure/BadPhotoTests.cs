using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>A file that is no usable photo: exit code 2, one sentence that names it, nothing written.</summary>
public class BadPhotoTests
{
    private static void ShouldBeRefused(string name, byte[] bytes, string mustSay)
    {
        using var scratch = new Scratch();
        string photo = scratch.File(name, bytes);
        Ran ran = Ran.Words("measure", photo, "--size", "8in", "--grid", "triangle:1in", "--out", scratch.Report);
        ran.ShouldFailWithOneSentence(2);
        Assert.Contains(name, ran.Error, StringComparison.Ordinal);
        Assert.Contains(mustSay, ran.Error, StringComparison.OrdinalIgnoreCase);
        Assert.Equal("", ran.Out);
        scratch.ShouldHoldNoReport();
    }

    [Fact]
    public void MissingFile_IsToldByName()
    {
        using var scratch = new Scratch();
        Ran ran = Ran.Words("measure", scratch.At("none.jpg"), "--size", "8in", "--grid", "triangle:1in", "--out", scratch.Report);
        Assert.Contains("none.jpg", ran.ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        scratch.ShouldHoldNoReport();
    }

    [Fact]
    public void FolderInsteadOfAPhoto_IsTold()
    {
        using var scratch = new Scratch();
        Directory.CreateDirectory(scratch.At("photos"));
        Ran ran = Ran.Words("measure", scratch.At("photos"), "--size", "8in", "--grid", "triangle:1in", "--out", scratch.Report);
        Assert.Contains("folder", ran.ShouldFailWithOneSentence(2).Error, StringComparison.Ordinal);
        scratch.ShouldHoldNoReport();
    }

    [Fact]
    public void FileHeldByAnother_IsTold()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("held.jpg", BadPictures.PlainJpeg());
        using var hold = new FileStream(photo, FileMode.Open, FileAccess.ReadWrite, FileShare.None);
        Ran.Words("measure", photo, "--size", "8in", "--grid", "triangle:1in", "--out", scratch.Report).ShouldFailWithOneSentence(2);
        scratch.ShouldHoldNoReport();
    }

    [Fact]
    public void EmptyFile_IsTold() => ShouldBeRefused("empty.jpg", [], "empty");

    [Fact]
    public void TextFile_IsTold() => ShouldBeRefused("letter.jpg", "Dear reader, this is no photo."u8.ToArray(), "not a picture");

    [Fact]
    public void TruncatedJpeg_IsTold() => ShouldBeRefused("cut.jpg", BadPictures.TruncatedJpeg(), "cut short");

    [Fact]
    public void OnePixel_IsTold() => ShouldBeRefused("dot.png", BadPictures.OnePixel(), "1 x 1");

    [Fact]
    public void HugeHeader_IsTold() => ShouldBeRefused("huge.png", BadPictures.PngHeader(30_000, 30_000), "30000 x 30000");

    [Fact]
    public void MovingPicture_IsTold() => ShouldBeRefused("moving.gif", BadPictures.Animated(), "moving picture");

    /// <summary>A HEIC photo whose first tile is spoilt: the sentence says how to get a JPEG instead.</summary>
    [Fact]
    public void HeicThatCannotBeDecoded_IsToldWithTheWayOut() => ShouldBeRefused("IMG_1.HEIC", BadPictures.SpoiltHeic(), "export it as JPEG");
}
