using Analyzer.Vision.Learnt;

namespace Analyzer.Vision.Tests.Learnt;

/// <summary>
/// The taught net runs here as it did where it was taught. Reference library: PyTorch 1.13.1 (Debian package python3-torch), the same weights and the same strip; its numbers stand below.
/// </summary>
public sealed class ThreadNetTests
{
    private const int WidthPx = 240;

    /// <summary>A wavy bright ridge, its colour axes half as strong and turned round, on a fine checker.</summary>
    private static float[] Strip()
    {
        var strip = new float[3 * ThreadNet.Rows * WidthPx];
        for (int c = 0, i = 0; c < 3; c++)
            for (int y = 0; y < ThreadNet.Rows; y++)
                for (int x = 0; x < WidthPx; x++, i++)
                {
                    double off = (y - 24.5 - 4 * Math.Sin(x / 23.0)) / 1.6, ridge = 4 * Math.Exp(-0.5 * off * off) * (x % 14 < 11 ? 1 : 0.2);
                    strip[i] = (float)((c == 0 ? ridge : -0.5 * ridge) + 0.4 * ((x + y + c) % 2 == 0 ? 1 : -1));
                }
        return strip;
    }

    [Theory]
    [InlineData(12, 60, -3.7158)]
    [InlineData(10, 30, -6.8903)]
    [InlineData(14, 18, 3.2603)]
    [InlineData(3, 90, -7.7945)]
    [InlineData(20, 100, -7.6548)]
    [InlineData(12, 0, 2.1695)]
    [InlineData(11, 119, 1.0305)]
    public void Look_GivesTheReferenceLibrarysNumbers(int row, int cell, double logOdds)
    {
        float[] sight = ThreadNet.Look(Strip(), WidthPx);
        Assert.Equal(ThreadNet.Rows / ThreadNet.PixelsPerCell * (WidthPx / ThreadNet.PixelsPerCell), sight.Length);
        Assert.Equal(logOdds, sight[row * (WidthPx / ThreadNet.PixelsPerCell) + cell], 0.002);
    }

    /// <summary>Asked from several sides at once it answers each as when it is asked alone.</summary>
    [Fact]
    public void Look_FromSeveralThreads_IsTheSame()
    {
        float[] strip = Strip(), alone = ThreadNet.Look(strip, WidthPx);
        var together = new float[6][];
        Parallel.For(0, together.Length, i => together[i] = ThreadNet.Look(strip, WidthPx));
        Assert.All(together, t => Assert.Equal(alone, t));
    }
}
