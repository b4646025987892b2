using Analyzer.Reporting.Pictures;
using SkiaSharp;

namespace Analyzer.Reporting.Tests;

public sealed class PngFileTests
{
    /// <summary>Another implementation (Skia's decoder, libpng) reads back the very pixels; rows are longer than the picture is wide.</summary>
    [Theory]
    [InlineData(1, 1)]
    [InlineData(37, 23)]
    [InlineData(640, 3)]
    public void Picture_IsReadBackUnchanged(int width, int height)
    {
        int rowBytes = 4 * width + 8;
        var rgba = new byte[rowBytes * height];
        new Random(7).NextBytes(rgba);
        using SKBitmap read = SKBitmap.Decode(PngFile.Of(rgba, width, height, rowBytes));
        Assert.Equal((width, height), (read.Width, read.Height));
        for (int y = 0; y < height; y++)
            for (int x = 0; x < width; x++)
            {
                int k = y * rowBytes + 4 * x;
                Assert.Equal(new SKColor(rgba[k], rgba[k + 1], rgba[k + 2]), read.GetPixel(x, y));
            }
    }
}
