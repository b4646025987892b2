using Analyzer.Vision.Corners;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>Truth: the values sorted by the runtime.</summary>
public class RanksTests
{
    [Theory]
    [InlineData(1, 5)]
    [InlineData(2, 5)]
    [InlineData(101, 3)]
    [InlineData(1000, 1_000_000)]
    public void At_EveryPlace_IsTheSortedValue(int count, int most)
    {
        var random = new Random(count);
        float[] values = [.. Enumerable.Range(0, count).Select(_ => (float)random.Next(most))], sorted = [.. values.Order()];
        for (int place = 0; place < count; place += Math.Max(1, count / 25))
        {
            float[] copy = [.. values];
            Assert.Equal(sorted[place], Ranks.At<float>(copy, place));
            Assert.All(copy[..place], v => Assert.True(v <= sorted[place]));
            Assert.All(copy[place..], v => Assert.True(v >= sorted[place]));
        }
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void At_OfValuesInOrder_IsTheSortedValue(bool rising)
    {
        double[] values = [.. Enumerable.Range(0, 500).Select(i => (double)(rising ? i : 499 - i))];
        Assert.Equal(123, Ranks.At<double>(values, 123));
    }
}
