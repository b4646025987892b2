using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Planning.Advice;

namespace Analyzer.Planning.Tests.Advice;

/// <summary>What the eye sees (external checks M2, M3) and the simulation against closed forms.</summary>
public sealed class GridAdviceTests
{
    /// <summary>M2: offset = D tan(angle).</summary>
    [Theory]
    [InlineData(250, 5, 0.006)]
    [InlineData(400, 60, 0.116)]
    [InlineData(600, 10, 0.029)]
    [InlineData(600, 30, 0.087)]
    [InlineData(600, 60, 0.175)]
    [InlineData(1000, 60, 0.291)]
    [InlineData(2000, 60, 0.582)]
    [InlineData(3000, 60, 0.873)]
    public void Visible_AtDistance_IsAsTabled(double distanceMm, double arcsec, double expectedMm) =>
        Assert.Equal(expectedMm, GridAdvice.VisibleMm(distanceMm, arcsec), 0.0005);

    /// <summary>M3 (rounded there): at 60 cm a step of 0.2 mm is 69 arc seconds, at 2 m 0.5 mm is 52 and 1 mm 103.</summary>
    [Theory]
    [InlineData(600, 69, 0.2)]
    [InlineData(600, 172, 0.5)]
    [InlineData(2000, 52, 0.5)]
    [InlineData(2000, 103, 1.0)]
    public void Visible_OfNamedSteps_Agrees(double distanceMm, double arcsec, double stepMm) =>
        Assert.Equal(stepMm, GridAdvice.VisibleMm(distanceMm, arcsec), 0.01);

    /// <summary>
    /// Analytic: three lines at 60 degrees, each off by a normal e of deviation s. The triangle's side is (2/√3)|e1+e2-e3|, so
    /// P(side ≤ t) = 2Φ(t/(2s)) - 1: 0.6827 at t = 2s, 0.9545 at t = 4s.
    /// </summary>
    [Theory]
    [InlineData(2, 0.6827)]
    [InlineData(4, 0.9545)]
    public void ClosedShare_OfEquilateralGrid_IsTheNormalProbability(double times, double expected)
    {
        var size = new BlockSize(304.8, 304.8);
        var grid = new IntendedGrid(size, NamedGrids.Families("triangle", new(25.4), size)!);
        Assert.All(grid.Nodes, n => Assert.Equal(3, n.LineIds.Count));
        const double sigma = 0.4;
        foreach (AccuracyProfile profile in (AccuracyProfile[])[new(sigma, 0), new(0, sigma), new(sigma * 0.6, sigma * 0.8)])
        {
            GridOutlook outlook = GridAdvice.Look(grid, profile, times * sigma, blocks: 400, seed: 5);
            // 400 blocks of 43 lines: the mean's own standard deviation is about 0.004.
            Assert.Equal(expected, outlook.ClosedShare, 0.016);
            Assert.True(outlook.LowShare <= outlook.ClosedShare && outlook.ClosedShare <= outlook.HighShare);
        }
    }

    /// <summary>Analytic: two lines at right angles miss by a Rayleigh distance, P(r ≤ t) = 1 - exp(-t²/(2s²)).</summary>
    [Fact]
    public void ClosedShare_OfSquareGrid_IsTheRayleighProbability()
    {
        var size = new BlockSize(200, 200);
        var grid = new IntendedGrid(size, NamedGrids.Families("square", new(20), size)!);
        GridOutlook outlook = GridAdvice.Look(grid, new AccuracyProfile(0.3, 0.4), 0.75, blocks: 600, seed: 6);
        Assert.Equal(1 - Math.Exp(-0.75 * 0.75 / (2 * 0.25)), outlook.ClosedShare, 0.016);
        Assert.Equal(81, outlook.Intersections);
    }

    /// <summary>Analytic: three lines at 60 degrees of which one is off by h leave a triangle of height h and side 2h/√3.</summary>
    [Fact]
    public void Miss_OfOneDisplacedLine_IsTheTriangleSide()
    {
        var origin = new BlockPoint(0, 0);
        double miss = GridAdvice.Miss([(new LineFamily(60, 20, origin), 0), (new LineFamily(-60, 20, origin), 0), (new LineFamily(0, 20, origin), 0.9)]);
        Assert.Equal(2 * 0.9 / Math.Sqrt(3), miss, 12);
        Assert.Equal(0.5, GridAdvice.Miss([(new LineFamily(0, 20, origin), 0.3), (new LineFamily(90, 20, origin), 0.4)]), 12);
    }

    [Fact]
    public void Look_WithTheSameSeed_SaysTheSame()
    {
        var size = new BlockSize(200, 200);
        var grid = new IntendedGrid(size, NamedGrids.Families("triangle45", new(25), size)!);
        Assert.Equal(GridAdvice.Look(grid, new(0.2, 0.2), 0.3), GridAdvice.Look(grid, new(0.2, 0.2), 0.3));
    }

    /// <summary>A coarser grid never looks less right, and a perfect quilter may take any.</summary>
    [Fact]
    public void Look_OfCoarserGrid_IsFairer()
    {
        var size = new BlockSize(304.8, 304.8);
        double before = 0;
        foreach (double d in (double[])[12, 20, 30, 50])
        {
            var grid = new IntendedGrid(size, NamedGrids.Families("triangle", new(d), size)!);
            GridOutlook outlook = GridAdvice.Look(grid, new(0.3, 0.3), GridAdvice.ClosedMm(600));
            Assert.True(outlook.FairShare >= before - 0.02);
            before = outlook.FairShare;
            Assert.True(GridAdvice.Look(grid, new(0, 0), 0.01).LooksRight);
        }
    }

    [Fact]
    public void Profile_FromReport_TakesOffThePhotosUncertainty()
    {
        LineReport Line(double offset, double rms, double u) => new()
        {
            Id = "A1",
            Family = 0,
            Index = 0,
            FromMm = [0, 0],
            ToMm = [1, 0],
            Status = "measured",
            OffsetMm = new(offset, u),
            StraightnessRmsMm = new(rms, u),
        };
        var report = new AccuracyReport { Outcome = "measured", Lines = [Line(0.5, 0.5, 0.3), Line(-0.5, 0.5, 0.3), Line(0.5, 0.5, 0.3)] };
        AccuracyProfile profile = AccuracyProfile.FromReport(report)!;
        Assert.Equal(0.4, profile.PlacementMm, 12);
        Assert.Equal(0.4, profile.WobbleMm, 12);
        Assert.Null(AccuracyProfile.FromReport(report with { Lines = [report.Lines[0]] }));
        Assert.Equal(0.5, AccuracyProfile.FromFigures(0.3, 0.5 * Math.Sqrt(2)).PointMm, 12);
    }
}
