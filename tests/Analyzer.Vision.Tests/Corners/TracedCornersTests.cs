using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Corners;

/// <summary>A wrong corner shows in the traced lines. Lines are invented; how a wrong corner moves them is an exact homography (Hartley and Zisserman, Multiple View Geometry, section 2.3, from memory).</summary>
public sealed class TracedCornersTests
{
    private static readonly BlockSize s_size = new(200, 200);

    private static IntendedGrid Grid(string name) => new(s_size, NamedGrids.Families(name, Core.Units.Length.FromMillimetres(25), s_size)!);

    /// <summary>Lines laid and steered by hand: offsets and turns of their own, a wobble, and how the place of each moves.</summary>
    private static TracedLine?[] Lines(IntendedGrid grid, Func<double, double, (double X, double Y)> moved, int seed = 3, double offsetMm = 0.4, double turnDeg = 0.3)
    {
        var random = new Random(seed);
        double Normal() => Enumerable.Range(0, 12).Sum(_ => random.NextDouble()) - 6;
        return [.. grid.Lines.Select(line =>
        {
            LineFamily family = grid.Families[line.Family];
            double offset = offsetMm * Normal(), slope = Math.PI / 180 * turnDeg * Normal(), phase = random.NextDouble() * 6;
            double[] along = [.. Enumerable.Range(1, Math.Max(0, (int)line.LengthMm - 1)).Select(i => (double)i)];
            return new TracedLine
            {
                Line = line,
                AlongMm = along,
                DeviationMm = [.. along.Select(s =>
                {
                    double x = line.From.Xmm + s * family.AlongX, y = line.From.Ymm + s * family.AlongY;
                    (double mx, double my) = moved(x, y);
                    return offset + slope * (s - line.LengthMm / 2) + 0.3 * Math.Sin(s / 6 + phase) + family.AcrossX * (mx - x) + family.AcrossY * (my - y);
                })],
                SigmaMm = [.. along.Select(_ => 0.02)],
                Noise = new NoiseCorrelation(1),
                Coverage = 1,
            };
        })];
    }

    /// <summary>Where places seem to lie when one corner was taken so far from where it is, mm.</summary>
    private static Func<double, double, (double X, double Y)> CornerOff(int corner, double dx, double dy)
    {
        (double X, double Y)[] meant = [.. s_size.Corners().Select(c => (c.Xmm, c.Ymm))], taken = [.. meant];
        taken[corner] = (taken[corner].X + dx, taken[corner].Y + dy);
        Homography seen = Homography.FromFourPoints(taken, meant);
        return seen.Map;
    }

    [Theory]
    [InlineData("square")]
    [InlineData("diamond")]
    [InlineData("triangle")]
    public void LinesLaidByHand_DoubtNoCorner(string grid)
    {
        IntendedGrid own = Grid(grid);
        Assert.Equal(0, Enumerable.Range(0, 400).Count(seed => TracedCorners.Doubted(Lines(own, (x, y) => (x, y), seed), own, []) is not null));
    }

    [Theory]
    [InlineData("square", 0, 3.5, 0)]
    [InlineData("square", 1, 0, -3.5)]
    [InlineData("diamond", 2, 3, 2)]
    [InlineData("triangle", 3, -2.5, 3)]
    public void ACornerThatIsOff_IsNamed_WithItsDistance(string grid, int corner, double dx, double dy)
    {
        IntendedGrid own = Grid(grid);
        TracedCorners? doubted = TracedCorners.Doubted(Lines(own, CornerOff(corner, dx, dy)), own, []);
        Assert.NotNull(doubted);
        Assert.Equal(corner, doubted.Corner);
        Assert.InRange(doubted.FarthestMm, Math.Sqrt(dx * dx + dy * dy) - 1, Math.Sqrt(dx * dx + dy * dy) + 1);
        Assert.Equal(dx, doubted.MovesMm[2 * corner], 1.0);
        Assert.Equal(dy, doubted.MovesMm[2 * corner + 1], 1.0);
    }

    /// <summary>A few lines, or one family alone, are laid so by chance.</summary>
    [Fact]
    public void FewLines_SayNothing()
    {
        IntendedGrid own = Grid("square");
        TracedLine?[] all = Lines(own, CornerOff(1, 0, -3.5));
        Assert.Null(TracedCorners.Doubted([.. all.Select((l, i) => i % 2 == 0 ? l : null)], own, []));
        Assert.Null(TracedCorners.Doubted([.. all.Select(l => l!.Line.Family == 0 ? l : null)], own, []));
    }

    /// <summary>Cloth drawn in between the sides bows lines and moves no corner.</summary>
    [Fact]
    public void ADrawnInMiddle_DoubtsNoCorner()
    {
        IntendedGrid own = Grid("square");
        Assert.Null(TracedCorners.Doubted(Lines(own, (x, y) => (x, y + 2 * Math.Sin(Math.PI * x / 200) * Math.Sin(Math.PI * y / 200))), own, []));
    }

    /// <summary>A barrel lens, r·(1 - k·r²) about the middle, bows sides and lines together. Where the sides were seen to bow so the lines doubt no corner; where they were seen straight, they do.</summary>
    [Theory]
    [InlineData(4.0, false)]
    [InlineData(0.0, true)]
    public void ALensThatBowsSidesAndLinesTogether_DoubtsNoCorner(double bowSeenMm, bool doubts)
    {
        IntendedGrid own = Grid("square");
        const double k = 4.0 / (100 * 100 * 100);
        // Corners at their places, the middle of a side 4 mm further out.
        (double X, double Y) Lens(double x, double y)
        {
            double dx = x - 100, dy = y - 100, times = k * (2 * 100 * 100 - dx * dx - dy * dy);
            return (x + dx * times, y + dy * times);
        }

        SideReading[] sides = [.. Enumerable.Range(0, 4).Select(_ => new SideReading("side", bowSeenMm, 0.1, 0.1, 1))];
        Assert.Equal(doubts, TracedCorners.Doubted(Lines(own, Lens), own, sides) is not null);
    }
}
