using System.Text.Json;
using Analyzer.EndToEnd.Tests.Shell;
using ImageMagick;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>Pictures that are unusual and still photos of a block: they are measured like the plain JPEG, for the thread lies where it lay.</summary>
public class OddPictureTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    /// <summary>Median over the lines, mm. Another coding moves single pixels by a few grey levels; the block has 5 to 10 px/mm.</summary>
    private const double SameOffsetMm = 0.02;

    private static byte[] As(string kind, byte[] jpeg)
    {
        using var image = new MagickImage(jpeg);
        image.Quality = 95;
        switch (kind)
        {
            case "16 bits, PNG": return image.ToByteArray(MagickFormat.Png48);
            case "alpha, PNG": image.Alpha(AlphaAction.Opaque); return image.ToByteArray(MagickFormat.Png32);
            case "grey, JPEG": image.ColorSpace = ColorSpace.Gray; return image.ToByteArray(MagickFormat.Jpeg);
            case "four inks, JPEG": image.ColorSpace = ColorSpace.CMYK; return image.ToByteArray(MagickFormat.Jpeg);
            default: image.ColorSpace = ColorSpace.CMYK; return image.ToByteArray(MagickFormat.Tiff);
        }
    }

    [Fact]
    public void OddPictures_AreMeasuredLikeThePlainOne()
    {
        using var scratch = new Scratch();
        double[] plain = Offsets(scratch, "plain", block.Jpeg);
        foreach (string kind in (string[])["16 bits, PNG", "alpha, PNG", "grey, JPEG", "four inks, JPEG", "four inks, TIFF"])
        {
            double[] odd = Offsets(scratch, kind, As(kind, block.Jpeg));
            Assert.Equal(plain.Length, odd.Length);
            double[] moved = [.. plain.Zip(odd, (a, b) => Math.Abs(a - b)).Order()];
            Assert.True(moved[moved.Length / 2] < SameOffsetMm, $"{kind}: typically {moved[moved.Length / 2]:0.000} mm elsewhere");
        }
    }

    private double[] Offsets(Scratch scratch, string name, byte[] bytes)
    {
        Ran ran = Ran.Words(["measure", scratch.File(name + ".jpg", bytes), .. block.GridWords(), .. block.CornerWords(), "--no-pictures", "--out", scratch.At(name)]);
        Assert.True(ran.ExitCode == 0, ran.Error);
        using JsonDocument report = JsonDocument.Parse(File.ReadAllText(Path.Combine(scratch.At(name), "report.json")));
        return [.. report.RootElement.GetProperty("lines").EnumerateArray().Select(line =>
        {
            Assert.Equal("measured", line.GetProperty("status").GetString());
            return line.GetProperty("offsetMm").GetProperty("value").GetDouble();
        })];
    }
}
