using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>A thread over the squares of a check. Truth is analytic: the thread is painted on the line itself, and the squares where they are.</summary>
public sealed class OverPrintTests
{
    private const double PxPerMm = 8, SideMm = 100, SquareMm = 10;

    private static readonly IntendedGrid s_grid = new(new BlockSize(SideMm, SideMm), [new LineFamily(0, 20, new BlockPoint(0, 20))]);

    private static bool IsDarkSquare(double alongMm) => (int)(alongMm / SquareMm) % 3 == 0;

    /// <summary>The traces left of ones that ran all along the lines' middle, where the thread's grey is the first and the ground's are the pale and the dark squares'.</summary>
    private static TracedLine?[] Left(byte thread, byte pale, byte dark)
    {
        using Photo photo = PaintedBlock.Paint(SideMm, PxPerMm, place => s_grid.Lines.Any(l => Math.Abs(place.Ymm - l.From.Ymm) < 0.25) ? thread : IsDarkSquare(place.Xmm) ? dark : pale);
        return OverPrint.Without(PaintedBlock.TracedStraight(s_grid), photo, PaintedBlock.Plane(photo, SideMm), s_grid, new Colour3(-1, 0, 0));
    }

    /// <summary>A grey thread, followed as darker than its ground, is lighter than the dark squares: what was followed there cannot be the thread.</summary>
    [Fact]
    public void Places_WhereTheThreadWouldStandOutTheOtherWay_AreLeftOut() => Assert.All(Left(thread: 120, pale: 210, dark: 40), line =>
    {
        Assert.All(line!.AlongMm, s => Assert.False(IsDarkSquare(s)));
        Assert.Equal(Enumerable.Range(1, 98).Count(s => !IsDarkSquare(s)), line.AlongMm.Length);
        Assert.Equal(line.AlongMm.Length / 98.0, line.Coverage, 1e-9);
    });

    [Theory]
    [InlineData(30, 210, 80)] // darker than both
    [InlineData(115, 120, 60)] // hardly darker than the usual ground: shade over the block could turn that round
    public void AllPlacesStay_WhereTheThreadStandsOutOneWay_OrHardlyAtAll(byte thread, byte pale, byte dark) =>
        Assert.All(Left(thread, pale, dark), line => Assert.Equal(98, line!.AlongMm.Length));
}
