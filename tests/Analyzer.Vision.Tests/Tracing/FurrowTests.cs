using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;
using OpenCvSharp;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>
/// Thread that stands out less than what lies beside it: the shadow of its furrow, or the mark it was sewn along. Truth is analytic: the painted course of the thread.
/// </summary>
public sealed class FurrowTests(ITestOutputHelper output)
{
    private const double PxPerMm = 8, SideMm = 100;

    private static readonly BlockSize Size = new(SideMm, SideMm);

    private static readonly IntendedGrid Grid = new(Size, [new LineFamily(0, 20, new BlockPoint(0, 20))]);

    /// <summary>The thread's course beside its intended line, mm.</summary>
    private static double Course(int line, double alongMm) => 0.1 * (line - 1.5) + 0.3 * Math.Sin(2 * Math.PI * alongMm / (31 + 4 * line) + line);

    /// <summary>1 on a stitch, 0 in the gap between two.</summary>
    private static double Stitch(int line, double alongMm) => PaintedThread.IsOnStitch(alongMm, line) ? 1 : 0;

    /// <summary>Traces of a photo whose blue, green and red at each place are told by line, distance along and distance from the thread's course and from the intended line.</summary>
    private static BlockTraces Trace(Func<int, double, double, double, (double B, double G, double R)> paint, bool ontoTheMiddle = true)
    {
        int n = (int)(SideMm * PxPerMm) + 1;
        var random = new Random(5);
        var bytes = new byte[3 * n * n];
        for (int row = 0; row < n; row++)
            for (int col = 0; col < n; col++)
            {
                double x = col / PxPerMm, y = row / PxPerMm;
                (double b, double g, double r) = (150, 160, 165);
                double weave = 3 * CentreNoise.Normal(random);
                for (int k = 0; k < Grid.Lines.Count; k++)
                {
                    double beside = y - Grid.Lines[k].From.Ymm;
                    if (Math.Abs(beside) > 6) continue;
                    (double pb, double pg, double pr) = paint(k, x, beside - Course(k, x), beside);
                    (b, g, r) = (b + pb, g + pg, r + pr);
                }
                int at = 3 * (row * n + col);
                (bytes[at], bytes[at + 1], bytes[at + 2]) = (Level(b + weave), Level(g + weave), Level(r + weave));
            }
        using Mat sharp = Mat.FromPixelData(n, n, MatType.CV_8UC3, bytes);
        var bgr = new Mat();
        Cv2.GaussianBlur(sharp, bgr, new OpenCvSharp.Size(0, 0), 0.7);
        using var photo = new Photo(bgr, "furrows", "", PhotoMetadata.None);
        return new StitchTracer(new StitchSettings { ThreadMiddle = ontoTheMiddle }).Trace(photo, new BlockPlane(new BlockCorners(new(0, 0), new(n - 1, 0), new(n - 1, n - 1), new(0, n - 1), 0), Size), Grid);

        static byte Level(double v) => (byte)Math.Clamp(Math.Round(v), 0, 255);
    }

    /// <summary>Every line lies where the thread was painted, within what it says of itself as a whole, and sways as the thread does.</summary>
    private void AssertOnTheThread(BlockTraces traces)
    {
        List<double> errors = [], shapes = [];
        for (int k = 0; k < Grid.Lines.Count; k++)
        {
            TracedLine line = Assert.IsType<TracedLine>(traces.Lines[k]);
            Assert.True(line.Coverage > 0.8);
            double[] own = [.. line.AlongMm.Zip(line.DeviationMm, (s, d) => d - Course(k, s))];
            double mean = own.Average();
            output.WriteLine($"{traces.Thread!.Name}, line {k}: {mean:0.000} aside, u {line.CommonUMm:0.000}, samples u {line.SigmaMm.Average():0.000}, moved {line.MiddleMovedMm:0.000}");
            Assert.InRange(Math.Abs(mean), 0, 2 * TracedLine.Joined(line.CommonUMm, 0.01));
            errors.AddRange(own.Select(Math.Abs));
            shapes.AddRange(own.Select(e => Math.Abs(e - mean)));
        }
        errors.Sort();
        shapes.Sort();
        output.WriteLine($"median {errors[errors.Count / 2]:0.000}, shape 95 % {shapes[shapes.Count * 95 / 100]:0.000} mm");
        Assert.InRange(errors[errors.Count / 2], 0, 0.1);
        Assert.InRange(shapes[shapes.Count * 95 / 100], 0, 0.2);
    }

    /// <summary>
    /// A thread hardly lighter than the cloth at the rim of a shadow five times as deep, on whichever side: the dark is not the thread. This one is painted flat: what its furrow would say of the light on a round one is
    /// within what the lines say of themselves.
    /// </summary>
    [Theory]
    [InlineData(1)]
    [InlineData(-1)]
    public void ThreadBesideADeeperShadow_IsFollowed(int side)
    {
        AssertOnTheThread(Trace(Paint, ontoTheMiddle: false));
        TracedLine?[] given = [.. Trace(Paint).Lines];
        for (int k = 0; k < given.Length; k++)
        {
            double mean = given[k]!.AlongMm.Zip(given[k]!.DeviationMm, (s, d) => d - Course(k, s)).Average();
            Assert.InRange(Math.Abs(mean), 0, 2 * given[k]!.CommonUMm);
        }

        (double B, double G, double R) Paint(int k, double x, double u, double mark)
        {
            double shadow = side * u > 0 ? -45 * Math.Exp(-side * u / 0.7) : 0, lit = side * u < 0 ? 9 * Math.Exp(side * u / 0.9) : 0, thread = 22 * Stitch(k, x) * PaintedThread.Bell(u, 0.16), all = shadow + lit + thread;
            return (all, all, all);
        }
    }

    /// <summary>A thread of the cloth's own colour wanders over a blue line drawn straight: it shows only where it hides the blue.</summary>
    [Fact]
    public void ThreadOfTheClothsColourOnAMark_IsFollowedByItsStitches()
    {
        BlockTraces traces = Trace((k, x, u, mark) =>
        {
            double blue = 0.5 * (1 + Math.Tanh((0.55 - Math.Abs(mark)) / 0.08)), thread = Math.Abs(u) < 0.18 ? Stitch(k, x) : 0;
            double seen = blue * (1 - thread);
            return (-15 * seen + 4 * thread, -55 * seen + 4 * thread, -70 * seen + 4 * thread);
        });
        AssertOnTheThread(traces);
    }

    /// <summary>Lint across a plain thread for two millimetres moves its apparent middle: those places are less sure than the rest, or not given.</summary>
    [Fact]
    public void SomethingElseInTheProfile_MakesThePlaceLessSure()
    {
        BlockTraces traces = Trace((k, x, u, _) =>
        {
            double thread = -70 * Stitch(k, x) * PaintedThread.Bell(u, 0.16), lint = k == 1 && x is > 49 and < 51 ? -60 * PaintedThread.Bell(u - 0.45, 0.2) : 0;
            return (thread + lint, thread + lint, thread + lint);
        });
        TracedLine line = Assert.IsType<TracedLine>(traces.Lines[1]);
        double[] there = [.. line.AlongMm.Zip(line.SigmaMm).Where(p => p.First is >= 49.5 and <= 50.5).Select(p => p.Second)];
        double usual = line.SigmaMm.Order().ElementAt(line.SigmaMm.Length / 2);
        output.WriteLine($"usual {usual:0.000}, there {string.Join(' ', there.Select(u => u.ToString("0.000", System.Globalization.CultureInfo.InvariantCulture)))}");
        Assert.All(there, u => Assert.True(u > 2 * usual));
    }

    /// <summary>Light from one side: the flank facing it is brighter, and a raised dark thread throws its shadow there. The apparent middle moves, within what the line says of itself.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(-1)]
    public void RaisedThreadInSideLight_IsWithinItsUncertainty(int side)
    {
        BlockTraces traces = Trace((k, x, u, _) =>
        {
            double flank = 9 * Math.Tanh(side * u / 0.25) * PaintedThread.Bell(u, 2), thread = -95 * Stitch(k, x) * PaintedThread.Bell(u, 0.15), thrown = -35 * Stitch(k, x) * PaintedThread.Bell(u - side * 0.25, 0.1), all = flank + thread + thrown;
            return (all, all, all);
        });
        AssertOnTheThread(traces);
        Assert.All(traces.Lines, l => Assert.True(l!.CommonUMm > 0.045));
        Assert.All(traces.Lines, l => Assert.True(side * l!.MiddleMovedMm < -0.01));
    }

    /// <summary>Even light moves nothing, and leaves less doubt.</summary>
    [Fact]
    public void EvenLight_MovesNothing()
    {
        BlockTraces traces = Trace((k, x, u, _) =>
        {
            double thread = -95 * Stitch(k, x) * PaintedThread.Bell(u, 0.15);
            return (thread, thread, thread);
        });
        AssertOnTheThread(traces);
        Assert.All(traces.Lines, l => Assert.InRange(l!.MiddleMovedMm, -0.003, 0.003));
        Assert.All(traces.Lines, l => Assert.True(l!.CommonUMm < 0.045));
    }

    /// <summary>Hand quilting shows one stitch and one gap as long on the front, 7 mm together: dashes all the same.</summary>
    [Fact]
    public void LongStitchesByHand_AreDashes()
    {
        BlockTraces traces = Trace((k, x, u, _) =>
        {
            double phase = (x + 0.3 * Math.Sin(0.9 * x + k)) / 7, thread = phase - Math.Floor(phase) < 0.5 ? -90 * PaintedThread.Bell(u, 0.16) : 0;
            return (thread, thread, thread);
        });
        Assert.True(traces.Thread!.DashCorrelation > 0.25, $"dashes {traces.Thread.DashCorrelation:0.00}");
        Assert.True(traces.Thread.StitchesShow);
    }
}
