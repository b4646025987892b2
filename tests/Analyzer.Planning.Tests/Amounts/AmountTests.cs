using Analyzer.Core.Units;
using Analyzer.Planning.Amounts;
using Analyzer.Planning.Route;
using Analyzer.Planning.Tests.Route;

namespace Analyzer.Planning.Tests.Amounts;

/// <summary>Thread and time: external checks I1, I3, I6.</summary>
public sealed class AmountTests
{
    /// <summary>I3: C = 2 + 2TS; the first row is the worked example, the others were recomputed from the formula.</summary>
    [Theory]
    [InlineData(0.01, 10, 2.2)]
    [InlineData(0.02, 11, 2.44)]
    [InlineData(0.04, 11, 2.88)]
    [InlineData(0.05, 11, 3.10)]
    [InlineData(0.06, 12, 3.44)]
    [InlineData(0.0141, 18, 2.5)]
    public void Thread_PerUnitOfSeam_IsTheGeometricValue(double thicknessIn, double stitchesPerInch, double expected) =>
        Assert.Equal(expected, ThreadModel.PerSeam(thicknessIn * Length.MillimetresPerInch, Length.MillimetresPerInch / stitchesPerInch), 0.01);

    /// <summary>I1: stitch length = 25.4 / stitches per inch.</summary>
    [Theory]
    [InlineData(3.175, 8)]
    [InlineData(2.54, 10)]
    [InlineData(2.0, 12.7)]
    [InlineData(2.5, 10.16)]
    public void StitchesPerInch_OfLength_IsExact(double stitchMm, double perInch) => Assert.Equal(perInch, ThreadModel.StitchesPerInch(stitchMm), 9);

    /// <summary>I6: 10 m at 11 per inch and 800 a minute: 4331 stitches, 5.41 min.</summary>
    [Fact]
    public void NeedleTime_OfTenMetres_IsAsStated()
    {
        double stitch = Length.MillimetresPerInch / 11;
        Assert.Equal(4331, ThreadModel.Estimate(10_000, new ThreadAssumptions { StitchMm = stitch }).Stitches, 0.5);
        Assert.Equal(5.41, TimeModel.NeedleMinutes(10_000, stitch, 800), 0.005);
    }

    /// <summary>I3: lockstitch takes needle and bobbin thread in equal parts (the 25/75 split of a copied example is another stitch).</summary>
    [Fact]
    public void Thread_OfTopAndBobbin_IsEqual()
    {
        ThreadEstimate thread = ThreadModel.Estimate(1000, new ThreadAssumptions { ThicknessMm = 0.254, StitchMm = 2.54, WasteShare = 0.1 });
        Assert.Equal(thread.TopMm, thread.BobbinMm);
        Assert.Equal(2200 * 1.1, thread.BothMm, 9);
        Assert.Equal((0.85, 1.15), (thread.LowShare, thread.HighShare));
    }

    [Fact]
    public void Time_WithDoublePace_IsDouble()
    {
        StitchRoute route = new RoutePlanner(Blocks.OnPoint(4, 4)).Plan(RouteRule.BorderFirst, BlockCorner.LowerLeft);
        TimeEstimate once = TimeModel.Estimate(route, 2.5, new TimeAssumptions()), twice = TimeModel.Estimate(route, 2.5, new TimeAssumptions { Pace = 2 });
        Assert.Equal(2 * once.TotalMin, twice.TotalMin, 9);
        Assert.True(once.TotalMin > once.NeedleMin);
        Assert.Equal(1.5, TimeModel.PaceFrom([(10, 20), (30, 40), (0, 5), (5, double.NaN)]), 12);
        Assert.Equal(1, TimeModel.PaceFrom([]));
    }
}
