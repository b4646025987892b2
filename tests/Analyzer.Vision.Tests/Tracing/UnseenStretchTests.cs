using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Where the net sees no thread and what was followed runs like a print's edge, nothing is said of the line. Invented courses and log odds; what is to stay and to go is plain from them.</summary>
public sealed class UnseenStretchTests
{
    private static readonly IntendedGrid Grid = new(new BlockSize(100, 100), [new LineFamily(0, 20, new BlockPoint(0, 10))]);

    private static readonly GridLine Line = Grid.Lines[2];

    /// <summary>A net that says the same across the whole strip.</summary>
    private static SightStrip Strip(Func<double, double> odds)
    {
        int cells = (int)(Line.LengthMm / SightStrip.CellMm);
        var values = new float[SightStrip.Rows * cells];
        for (int r = 0; r < SightStrip.Rows; r++)
            for (int c = 0; c < cells; c++) values[r * cells + c] = (float)odds(SightStrip.AlongMm(c));
        return new SightStrip(0, cells, values);
    }

    private static double Hand(double mm) => 0.15 * Math.Sin(mm / 2) + 0.1 * Math.Sin(mm / 5);

    private static TracedLine Followed(Func<double, double> deviationMm, Func<double, bool> seen)
    {
        double[] along = [.. Enumerable.Range(1, 98).Select(mm => (double)mm).Where(seen)];
        return new TracedLine { Line = Line, AlongMm = along, DeviationMm = [.. along.Select(deviationMm)], SigmaMm = [.. along.Select(_ => 0.05)], Noise = new NoiseCorrelation(1), Coverage = along.Length / 98.0 };
    }

    private static double[] Left(Func<double, double> deviationMm, Func<double, double> odds, Func<double, bool>? seen = null) => UnseenStretch.Without(Followed(deviationMm, seen ?? (_ => true)), Strip(odds)).AlongMm;

    private static double OddsAside(double mm) => mm is > 60 and < 80 ? -4 : 1.5;

    /// <summary>A straight piece of 20 mm, 0.1 mm a millimetre aside, with no thread in it: gone, and nothing else.</summary>
    [Fact]
    public void AStraightStretchWithoutThread_Goes()
    {
        double[] left = Left(mm => mm is > 60 and < 80 ? 0.1 * (mm - 60) : Hand(mm), OddsAside);
        Assert.DoesNotContain(left, mm => mm is > 63 and < 77);
        Assert.Equal(58, left.Count(mm => mm <= 58));
        Assert.Equal(16, left.Count(mm => mm >= 83));
    }

    [Fact]
    public void AStretchThatSwaysAsTheRest_Stays() => Assert.Equal(98, Left(Hand, OddsAside).Length);

    [Fact]
    public void AStraightStretch_StaysWhereTheNetIsOnlyUnsure() => Assert.Equal(98, Left(mm => mm is > 60 and < 80 ? 0.1 * (mm - 60) : Hand(mm), mm => mm is > 60 and < 80 ? -1 : 1.5).Length);

    /// <summary>A line along a ruler is no straighter where the net does not see it than where it does.</summary>
    [Fact]
    public void ARuledLine_Stays() => Assert.Equal(98, Left(mm => 0.05 * Hand(mm), OddsAside).Length);

    /// <summary>A net that sees this thread hardly anywhere says nothing about it.</summary>
    [Fact]
    public void ALineTheNetIsBlindTo_Stays() => Assert.Equal(98, Left(mm => mm > 40 ? 0.1 * (mm - 40) : Hand(mm), mm => mm < 10 ? 1.5 : -4).Length);

    /// <summary>Scattered places where the net sees no thread are chance.</summary>
    [Fact]
    public void ScatteredPlacesWithoutThread_Go()
    {
        double[] left = Left(Hand, OddsAside, mm => mm is < 58 or > 82 || mm is 66 or 70 or 74);
        Assert.DoesNotContain(left, mm => mm is > 60 and < 80);
        Assert.Equal(57 + 16, left.Length);
    }
}
