using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Pages;
using Analyzer.Practice.Simulation;

namespace Analyzer.Practice.Tests.Pages;

public class PageTests
{
    [Fact]
    public void ComparePage_NeedsNoNetwork_AndSaysInvented()
    {
        var before = new ComparedBlock(TestBlocks.Report(new Skill(), 1, "triangle"), "a <script>", 0.5);
        ComparedBlock after = TestBlocks.Block(new Skill { WobbleMm = 0.1 }, 2, "triangle");
        string page = ComparePage.Render(BlockComparer.Compare(before, after), FindingReader.Read(after));
        Assert.Contains("Invented data", page, StringComparison.Ordinal);
        Assert.Contains("a &lt;script&gt;", page, StringComparison.Ordinal);
        Assert.DoesNotContain("src=", page, StringComparison.Ordinal);
        Assert.DoesNotContain("https://", page, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", page, StringComparison.Ordinal);
        // Both blocks are drawn at one size: the words stand once, in the heading, for both.
        Assert.Contains("times as large", page, StringComparison.Ordinal);
    }

    // External check G3, part: a pure wave of amplitude 0.3 mm and 32 mm on every line shows its amplitude at 32 mm.
    [Fact]
    public void WobbleSpectrum_OfAPureWave_ShowsItsAmplitude()
    {
        var report = TestBlocks.Report(TestBlocks.Steady, 3);
        report = report with { Lines = [.. report.Lines.Select(l => l with { Samples = [.. l.Samples.Select(s => s with { DeviationMm = 0.3 * Math.Sin(2 * Math.PI * s.AlongMm / 32 + 0.4) })] })] };
        var spectrum = WobbleSpectrum.Of(new ComparedBlock(report, "x", 0.5), [8, 16, 32, 60]);
        // The line's own straight line takes a little of a long wave: 5 %.
        Assert.InRange(spectrum.AmplitudeMm[2], 0.285, 0.305);
        Assert.True(spectrum.AmplitudeMm[0] < 0.03 && spectrum.AmplitudeMm[1] < 0.05);
    }

    // External check G5 with G4: at 25 mm/s a hand's 9 Hz tremor is 2.8 mm of cloth, shorter than two stitches, so it is not in the plot; 1 to 2 Hz (12.5 to 25 mm) are.
    [Fact]
    public void WobbleSpectrum_HoldsSteering_NotTremor()
    {
        double[] waves = WobbleSpectrum.Wavelengths(203.2);
        Assert.True(waves[0] > 25.0 / 9 && waves[0] >= 2 * 25.4 / 11);
        Assert.True(waves[0] < 12.5 && waves[^1] > 25);
        Assert.Equal(101.6, waves[^1], 9);
    }

    [Fact]
    public void Ticks_AreRound() => Assert.Equal([0, 0.2, 0.4, 0.6, 0.8, 1.0], SvgChart.Ticks(0, 1, 5).Select(v => Math.Round(v, 10)));
}
