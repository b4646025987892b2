using Analyzer.Core.Units;

namespace Analyzer.Core.Tests.Units;

/// <summary>Lengths inside sentences, in inches. 1 in = 25.4 mm exactly (external check I1).</summary>
public class LengthSentenceTests
{
    [Theory]
    [InlineData("They sit 0.5 mm above the mark.", "They sit 0.020 in above the mark.")]
    [InlineData("typically 25.4 mm", "typically 1.00 in")]
    [InlineData("Better: 0.40 → 0.31 mm; a change of 0.07 mm would have shown.", "Better: 0.016 → 0.012 in; a change of 0.003 in would have shown.")]
    [InlineData("waves of 8 to 20 mm, a sway", "waves of 0.3 to 0.8 in, a sway")]
    [InlineData("equal stretches of 150 mm, because", "equal stretches of 6 in, because")]
    [InlineData("a foot's radius, 1/4 in (6.35 mm) for a 1/2 in foot", "a foot's radius, 1/4 in for a 1/2 in foot")]
    [InlineData("0.25\u00a0mm", "0.010\u00a0in")]
    [InlineData("Run again with --lines \"60deg 25.4mm 0mm,203.2mm\".", "Run again with --lines \"60deg 25.4mm 0mm,203.2mm\".")]
    [InlineData("at least 3 pixels per millimetre", "at least 3 pixels per millimetre")]
    [InlineData("Nothing to turn.", "Nothing to turn.")]
    public void Sentence_InInches_KeepsItsWords(string mm, string inches)
    {
        Assert.Equal(inches, LengthSentence.In(mm, true));
        Assert.Equal(mm, LengthSentence.In(mm, false));
    }
}
