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

    private static readonly BlockSize s_size = new(SideMm, SideMm);

    private static readonly IntendedGrid s_grid = new(s_size, [new LineFamily(0, 20, new BlockPoint(0, 20))]);

    private static bool IsDarkSquare(double alongMm) => (int)(alongMm / SquareMm) % 3 == 0;

    /// <summary>The traces left of ones that ran all along the lines' middle, where the thread's grey is the first and the ground's are the pale and the dark squares'.</summary>
    private static TracedLine?[] Left(byte thread, byte pale, byte dark)
    {
        int n = (int)(SideMm * PxPerMm) + 1;
        var bytes = new byte[3 * n * n];
        for (int row = 0; row < n; row++)
            for (int col = 0; col < n; col++)
            {
                double y = row / PxPerMm;
                bool onThread = s_grid.Lines.Any(l => Math.Abs(y - l.From.Ymm) < 0.25);
                bytes.AsSpan(3 * (row * n + col), 3).Fill(onThread ? thread : IsDarkSquare(col / PxPerMm) ? dark : pale);
            }
        using Mat mat = Mat.FromPixelData(n, n, MatType.CV_8UC3, bytes);
        Cv2.ImEncode(".png", mat, out byte[] png);
        using Photo photo = PhotoReader.Read(png, "check.png");
        var plane = new BlockPlane(new BlockCorners(new(0, 0), new(n - 1, 0), new(n - 1, n - 1), new(0, n - 1), 0), s_size);
        double[] along = [.. Enumerable.Range(1, 98).Select(i => (double)i)];
        TracedLine[] lines = [.. s_grid.Lines.Select(l => new TracedLine
        {
            Line = l,
            AlongMm = along,
            DeviationMm = new double[along.Length],
            SigmaMm = [.. along.Select(_ => 0.02)],
            Noise = new NoiseCorrelation(1),
            Coverage = 1,
        })];
        return OverPrint.Without(lines, photo, plane, s_grid, new Colour3(-1, 0, 0));
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
