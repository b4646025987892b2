namespace Analyzer.Reporting.Tests;

public sealed class TakenOnWordsTests
{
    [Theory]
    [InlineData("2026-03-12T10:14:05", "12 March 2026, 10:14")]
    [InlineData("2026-11-01T00:00:59", "1 November 2026, 00:00")]
    [InlineData("2026-02-30T10:14:05", "2026-02-30T10:14:05")] // no such day: as the camera wrote it
    [InlineData("spring", "spring")]
    public void MomentOfAPhoto_ReadsAsAPersonWritesIt(string takenOn, string words) => Assert.Equal(words, TakenOnWords.Of(takenOn));
}
