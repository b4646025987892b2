using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Tests.Learnt;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Where the net sees no thread and what was followed runs like a print's edge, nothing is said of the line. Invented courses and log odds; what is to stay and to go is plain from them.</summary>
public sealed class UnseenStretchTests
{
    private static readonly IntendedGrid Grid = new(new BlockSize(100, 100), [new LineFamily(0, 20, new BlockPoint(0, 10))]);

    private static readonly GridLine Line = Grid.Lines[2];

    /// <summary>A net that says the same across the whole strip.</summary>
    private static SightStrip Strip(Func<double, double> odds) => InventedStrip.Of((int)(Line.LengthMm / SightStrip.CellMm), (along, _) => odds(along));

    private static double Hand(double mm) => 0.15 * Math.Sin(mm / 2) + 0.1 * Math.Sin(mm / 5);

    private static TracedLine Followed(Func<double, double> deviationMm, Func<double, bool> seen)
    {
        double[] along = [.. Enumerable.Range(1, 98).Select(mm => (double)mm).Where(seen)];
        return new TracedLine { Line = Line, AlongMm = along, DeviationMm = [.. along.Select(deviationMm)], SigmaMm = [.. along.Select(_ => 0.05)], Noise = new NoiseCorrelation(1), Coverage = along.Length / 98.0 };
    }

    private static double[] Left(Func<double, double> deviationMm, Func<double, double> odds, Func<double, bool>? seen = null) => UnseenStretch.Without(Followed(deviationMm, seen ?? (_ => true)), Strip(odds), null).AlongMm;

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

    /// <summary>In the middle, at either end, and beside a gap: places near an end are not scattered.</summary>
    [Theory]
    [InlineData(60, 80)]
    [InlineData(0, 20)]
    [InlineData(80, 100)]
    public void AStretchThatSwaysAsTheRest_Stays(int fromMm, int toMm)
    {
        double Odds(double mm) => mm > fromMm && mm < toMm ? -4 : 1.5;
        Assert.Equal(98, Left(Hand, Odds).Length);
        Assert.Equal(91, Left(Hand, Odds, mm => mm is < 45 or > 51).Length);
    }

    /// <summary>Where the net sees the thread beside what was followed, the line is there, and not nowhere.</summary>
    [Fact]
    public void WhatRunsBesideTheThread_IsLeftToTheNet()
    {
        TracedLine followed = Followed(mm => mm is > 60 and < 80 ? 0.1 * (mm - 60) : Hand(mm), _ => true);
        Assert.Equal(98, UnseenStretch.Without(followed, Strip(OddsAside), Strip(_ => 1.5).Path(4)).AlongMm.Length);
    }

    /// <summary>It goes on a few millimetres while the net is unsure, and not to the end of the line.</summary>
    [Fact]
    public void AStraightStretch_TakesOnlyWhatIsNearIt()
    {
        double[] left = Left(mm => mm is > 60 and < 80 ? 0.1 * (mm - 60) : Hand(mm), mm => mm is > 60 and < 80 ? -4 : mm < 40 ? 1.5 : -1);
        Assert.Equal(48, left.Count(mm => mm <= 48));
        Assert.Equal(7, left.Count(mm => mm >= 92));
    }

    /// <summary>Beyond the strip's rim nobody looked.</summary>
    [Fact]
    public void WhatLiesOffTheStrip_Stays()
    {
        double offMm = ThreadNet.HalfWidthMm + 1;
        Assert.Equal(98, Left(mm => mm is > 60 and < 80 ? offMm : Hand(mm), _ => 1.5).Length);
    }

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
