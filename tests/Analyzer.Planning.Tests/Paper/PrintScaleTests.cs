using Analyzer.Planning.Paper;

namespace Analyzer.Planning.Tests.Paper;

/// <summary>Paper and print scale: external checks K2, K3, K4.</summary>
public sealed class PrintScaleTests
{
    /// <summary>K3: A4 595.276 x 841.890, Letter 612 x 792, ID-1 242.646 x 153.014, 100 mm 283.4646 units of 1/72 in.</summary>
    [Fact]
    public void Points_OfKnownSizes_AreAsStated()
    {
        Assert.Equal(595.276, Points.FromMm(PaperSize.A4.WidthMm), 3);
        Assert.Equal(841.890, Points.FromMm(PaperSize.A4.HeightMm), 3);
        Assert.Equal(612, Points.FromMm(PaperSize.Letter.WidthMm), 9);
        Assert.Equal(792, Points.FromMm(PaperSize.Letter.HeightMm), 9);
        Assert.Equal(242.646, Points.FromMm(PrintScale.CardWidthMm), 3);
        Assert.Equal(153.014, Points.FromMm(PrintScale.CardHeightMm), 3);
        Assert.Equal(283.4646, Points.FromMm(PrintScale.BarMm), 4);
        // K2: the corner radius of an ID-1 card lies between 2.88 and 3.48 mm.
        Assert.InRange(PrintScale.CardRadiusMm, 2.88, 3.48);
    }

    /// <summary>K4: Letter shrunk onto A4 prints 97.3 mm, A4 shrunk onto Letter 94.1 mm; the tool names the trap.</summary>
    [Theory]
    [InlineData(97.3, "97.3 %", "US Letter page shrunk onto A4")]
    [InlineData(94.1, "94.1 %", "A4 page shrunk onto US Letter")]
    [InlineData(96.0, "96 %", "fit to page")]
    public void ShrunkBar_IsNamedWithItsCause(double measuredMm, string percent, string cause)
    {
        PrintScaleFinding finding = PrintScale.FromBar(measuredMm);
        Assert.False(finding.IsTrue);
        Assert.Equal(measuredMm / 100, finding.Scale, 12);
        Assert.Contains($"Your 100 mm bar measures {measuredMm.ToString("0.##", System.Globalization.CultureInfo.InvariantCulture)} mm: printed at {percent}, reprint at 100 %", finding.Message, StringComparison.Ordinal);
        Assert.Contains(cause, finding.Message, StringComparison.Ordinal);
    }

    /// <summary>K4: the check must detect 0.5 %, half a millimetre on 100 mm.</summary>
    [Theory]
    [InlineData(100, true)]
    [InlineData(99.6, true)]
    [InlineData(100.4, true)]
    [InlineData(99.5, false)]
    [InlineData(100.5, false)]
    public void HalfAPercent_IsDetected(double measuredMm, bool isTrue) => Assert.Equal(isTrue, PrintScale.FromBar(measuredMm).IsTrue);

    [Fact]
    public void InchBar_IsReadAgainstItsOwnLength() => Assert.Equal(0.9727, PrintScale.FromBar(98.83, PrintScale.InchBarMm).Scale, 4);

    [Theory]
    [InlineData(10)]
    [InlineData(3000)]
    [InlineData(double.NaN)]
    public void ImpossibleBar_IsRefused(double measuredMm) => Assert.Throws<ArgumentOutOfRangeException>(() => PrintScale.FromBar(measuredMm));
}
