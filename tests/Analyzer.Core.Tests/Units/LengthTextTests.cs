using Analyzer.Core.Units;

namespace Analyzer.Core.Tests.Units;

/// <summary>External check I1: 1 inch = 25.4 mm exactly; texts are read back by the same program.</summary>
public sealed class LengthTextTests
{
    [Theory]
    [InlineData(19.05, "3/4in", "3/4 inch")]
    [InlineData(25.4, "1in", "1 inch")]
    [InlineData(38.1, "1 1/2in", "1 1/2 inches")]
    [InlineData(20.0, "20.0mm", "20.0 mm")]
    [InlineData(19.1, "3/4in", "3/4 inch")]
    public void Text_OfLength_IsWhatPeopleWrite(double mm, string text, string spoken)
    {
        Assert.Equal(text, LengthText.Written(new Length(mm)));
        Assert.Equal(spoken, LengthText.Spoken(new Length(mm)));
        Assert.True(Length.TryParse(text, out Length back));
        Assert.Equal(mm, back.Millimetres, LengthText.FractionTolerance * mm);
    }
}
