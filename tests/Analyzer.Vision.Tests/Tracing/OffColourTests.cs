using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Places of another colour are no thread; fainter and stronger thread of its own colour is (invented lines; the limits are the room's own, no outside source).</summary>
public sealed class OffColourTests
{
    private static readonly Colour3 s_thread = new(-6, 2, 1);

    /// <summary>Samples left of a hundred when those from 40 to 49 mm have the given colour.</summary>
    private static double[] Left(Colour3 colour)
    {
        TracedLine line = StrayPartsTests.Line([.. Enumerable.Range(1, 100).Select(i => ((double)i, 0.0))]);
        Colour3[] colours = [.. line.AlongMm.Select(s => s is >= 40 and < 50 ? colour : s_thread)];
        TracedLine left = OffColour.Without(line, colours, s_thread);
        Assert.Equal(left.AlongMm.Length, left.SigmaMm.Length);
        Assert.All(left.FineAlongMm, s => Assert.Contains(left.AlongMm, a => Math.Abs(a - s) < 1));
        Assert.Equal(line.Coverage * left.AlongMm.Length / 100, left.Coverage, 9);
        return left.AlongMm;
    }

    [Theory]
    [InlineData(1, -6, 8)]
    [InlineData(6, -2, -1)]
    [InlineData(-20, -9, 12)]
    public void PrintAcrossTheLine_IsLeftOut(double l, double a, double b)
    {
        double[] left = Left(new Colour3(l, a, b));
        Assert.DoesNotContain(left, s => s is >= 41 and < 49);
        Assert.InRange(left.Length, 90, 92);
    }

    [Theory]
    [InlineData(0.4)]
    [InlineData(3)]
    public void ThreadOfItsOwnColour_Stays(double times) => Assert.Equal(100, Left(times * s_thread).Length);
}
