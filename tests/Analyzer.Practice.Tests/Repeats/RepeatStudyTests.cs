using Analyzer.Core.Report;
using Analyzer.Practice.Repeats;

namespace Analyzer.Practice.Tests.Repeats;

public class RepeatStudyTests
{
    private const double Rounding = 5e-6;

    /// <summary>F7: Shrout and Fleiss, Psychological Bulletin 86, 1979, 420-428: six things, four ratings each.</summary>
    private static readonly double[][] Rows = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]];

    private static AccuracyReport Photo(int column, Func<double, double>? change = null) => new()
    {
        Outcome = "measured",
        Photo = new PhotoInfo($"photo-{column + 1}.jpg", 100, 100, $"{column}{change is null}"),
        Lines = [.. Rows.Select((row, i) => Line("L" + i, (change ?? (v => v))(row[column])))],
    };

    private static LineReport Line(string id, double offsetMm) => new()
    {
        Id = id,
        Family = 0,
        Index = 0,
        FromMm = [0, 0],
        ToMm = [100, 0],
        Status = "measured",
        OffsetMm = new MeasuredValue(offsetMm, 0.1),
    };

    [Fact]
    public void Pooling_OfShroutAndFleissRatings_GivesThePublishedMeanSquares()
    {
        RepeatReport repeats = RepeatStudy.Of([.. Enumerable.Range(0, 4).Select(c => Photo(c))])!;
        RepeatMeasure offset = repeats.Measures.Single(m => m.Name == "offset");
        // F7: within mean square 6.263889, ICC(3,1) 0.714841. F9: s_r² is the mean square within, limit 2.8 s_r.
        Assert.Equal(Math.Sqrt(6.263889), offset.RepeatabilitySd, Rounding);
        Assert.Equal(0.714841, offset.Reliability!.Value, Rounding);
        Assert.Equal(2.8 * Math.Sqrt(6.263889), offset.SmallestChangeOnePhoto, 2.8 * Rounding);
        Assert.Equal(1.4 * Math.Sqrt(6.263889), offset.SmallestChangeMean, 2.8 * Rounding);
        Assert.Equal(6, offset.Items[0].Mean, Rounding);
    }

    [Fact]
    public void Pooling_OfPhotosWhoseOffsetsDoNotGoTogether_SaysSoAndPoolsNothing()
    {
        // Invariance: the second photo shows the lines' offsets upside down.
        RepeatReport repeats = RepeatStudy.Of([Photo(0), Photo(0, v => -v)])!;
        Assert.False(repeats.IsOneBlock);
        Assert.Empty(repeats.Measures);
    }

    [Fact]
    public void Pooling_OfOnePhoto_IsNothing() => Assert.Null(RepeatStudy.Of([Photo(0)]));
}
