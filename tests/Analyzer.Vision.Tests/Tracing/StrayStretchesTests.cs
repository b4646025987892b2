using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;
using OpenCvSharp;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>
/// A trace that for two centimetres lies on the furrow's lit wall, beside its stitches. Truth is analytic: the painted course of the thread.
/// </summary>
public sealed class StrayStretchesTests(ITestOutputHelper output)
{
    private const double PxPerMm = 8, SideMm = 100, From = 40, To = 62;

    private static readonly BlockSize s_size = new(SideMm, SideMm);

    private static readonly IntendedGrid s_grid = new(s_size, [new LineFamily(0, 20, new BlockPoint(0, 20))]);

    private static double Course(double alongMm) => 0.3 * Math.Sin(2 * Math.PI * alongMm / 31);

    /// <summary>How bright the cloth is, a thread apart from its stitches' length and gaps.</summary>
    private delegate double Paint(double alongMm, double fromThreadMm, bool onStitch);

    private static ProjectedStrip Strip(Paint paint)
    {
        int n = (int)(SideMm * PxPerMm) + 1;
        var random = new Random(7);
        var bytes = new byte[3 * n * n];
        GridLine line = s_grid.Lines[1];
        for (int row = 0; row < n; row++)
            for (int col = 0; col < n; col++)
            {
                double x = col / PxPerMm, u = row / PxPerMm - line.From.Ymm - Course(x);
                double value = 130 + paint(x, u, PaintedThread.IsOnStitch(x)) + 3 * CentreNoise.Normal(random);
                bytes.AsSpan(3 * (row * n + col), 3).Fill((byte)Math.Clamp(Math.Round(value), 0, 255));
            }
        using Mat sharp = Mat.FromPixelData(n, n, MatType.CV_8UC3, bytes);
        using var photo = new Mat();
        Cv2.GaussianBlur(sharp, photo, new Size(0, 0), 0.7);
        var plane = new BlockPlane(new BlockCorners(new(0, 0), new(n - 1, 0), new(n - 1, n - 1), new(0, n - 1), 0), s_size);
        var path = new CoarsePath(line, 1, new double[(int)SideMm + 1], [.. Enumerable.Repeat(1.0, (int)SideMm + 1)]);
        ThreadStrip strip = ThreadStrip.Cut(photo, plane, s_grid.Families[0], path, 3.2);
        return new ProjectedStrip(strip, [], []);
    }

    /// <summary>A trace on the thread, but for a stretch that lies beside it.</summary>
    private static TracedLine Trace(ProjectedStrip strip, double besideMm)
    {
        double Seen(double s) => Course(s) + (s > From && s < To ? besideMm : 0);
        double[] along = [.. Enumerable.Range(2, 97).Select(i => (double)i)], fine = [.. Enumerable.Range(8, 385).Select(i => 0.25 * i)];
        double[] centre = [.. Enumerable.Range(0, strip.Strip.Along).Select(i => Seen(i * ThreadStrip.AlongStepMm))];
        return new TracedLine
        {
            Line = strip.Strip.Line,
            AlongMm = along,
            DeviationMm = [.. along.Select(Seen)],
            SigmaMm = [.. along.Select(_ => 0.05)],
            Noise = new NoiseCorrelation(1),
            FineAlongMm = fine,
            FineDeviationMm = [.. fine.Select(Seen)],
            FineSigmaMm = [.. fine.Select(_ => 0.05)],
            Coverage = 1,
            Texture = StitchTexture.Of(strip.Strip, centre, []),
        };
    }

    /// <summary>Thread that in the stretch is of the cloth's own colour, with dark needle holes in its gaps all along; the furrow's wall is lit.</summary>
    private static double Furrow(double alongMm, double u, bool onStitch)
    {
        bool hidden = alongMm is > From and < To;
        return (onStitch ? (hidden ? 0 : 40 * PaintedThread.Bell(u, 0.18)) : -45 * PaintedThread.Bell(u, 0.15)) + 25 * PaintedThread.Bell(Math.Abs(u) - 0.75, 0.25);
    }

    [Theory]
    [InlineData(0.75)]
    [InlineData(-0.75)]
    public void StretchOnTheLitWall_IsPutOnTheStitches(double besideMm)
    {
        ProjectedStrip strip = Strip(Furrow);
        TracedLine before = Trace(strip, besideMm), after = Assert.Single(StrayStretches.OntoTheStitches([strip], [before]));
        (double Error, double U)[] stretch = [.. after.AlongMm.Select((s, i) => (s, Error: Math.Abs(after.DeviationMm[i] - Course(s)), U: after.SigmaMm[i])).Where(p => p.s is > From and < To).Select(p => (p.Error, p.U))];
        output.WriteLine($"largest {stretch.Max(p => p.Error):0.000} mm, median {stretch.Select(p => p.Error).Order().ElementAt(stretch.Length / 2):0.000}, u {stretch.Average(p => p.U):0.000}");
        // But for the rims, which say that they are not sure.
        Assert.True(stretch.Count(p => p.Error > 0.3) <= 2);
        Assert.All(stretch, p => Assert.InRange(p.Error, 0, Math.Max(0.02, 2 * p.U)));
        // Where the stitches told the place is said; it is nearly all of the stretch, and nothing beyond.
        Assert.True(after.ByStitchesMm.Length >= To - From - 4);
        Assert.All(after.ByStitchesMm, s => Assert.InRange(s, From, To));
        // The fine trace goes with it, and what lay right stays as it was.
        Assert.All(after.FineAlongMm.Zip(after.FineDeviationMm).Where(p => p.First is > From + 2 and < To - 2), p => Assert.InRange(Math.Abs(p.Second - Course(p.First)), 0, 0.3));
        Assert.All(after.AlongMm.Zip(after.DeviationMm, before.DeviationMm).Where(p => p.First is < From - 1 or > To + 1), p => Assert.Equal(p.Third, p.Second));
    }

    /// <summary>Where neither trace nor stitches tell, the places within a millimetre are as unsure: the trace was on its way there. No island of small uncertainty is left among them.</summary>
    [Fact]
    public void PlacesBesideAnUntoldOne_AreAsUnsure()
    {
        const double untoldMm = 0.4, nearMm = 1;
        ProjectedStrip strip = Strip(Furrow);
        TracedLine after = Assert.Single(StrayStretches.OntoTheStitches([strip], [Trace(strip, 0.75)]));
        double[] untold = [.. after.FineAlongMm.Zip(after.FineSigmaMm).Where(p => p.Second > untoldMm).Select(p => p.First)];
        output.WriteLine($"untold {string.Join(" ", untold)}");
        double first = untold[0], last = untold[^1];
        // A run without holes, longer by a millimetre at either end than what is untold in itself.
        Assert.True(last - first > 2 * nearMm, $"{first} to {last} mm");
        Assert.Equal(1 + (int)Math.Round((last - first) / 0.25), untold.Length);
        Assert.All(after.AlongMm.Zip(after.SigmaMm).Where(p => p.First >= first && p.First <= last), p => Assert.True(p.Second > untoldMm, $"{p.First} mm"));
    }

    [Fact]
    public void TraceOnItsStitches_StaysAsItIs()
    {
        ProjectedStrip strip = Strip(Furrow);
        TracedLine before = Trace(strip, 0);
        Assert.Same(before, Assert.Single(StrayStretches.OntoTheStitches([strip], [before])));
    }

    /// <summary>Without stitches that show, a smooth thread, nothing tells where the thread is: the trace stays.</summary>
    [Fact]
    public void SmoothThread_StaysAsItWasTraced()
    {
        ProjectedStrip strip = Strip((_, u, _) => 40 * PaintedThread.Bell(u, 0.18));
        TracedLine before = Trace(strip, 0.75);
        Assert.Same(before, Assert.Single(StrayStretches.OntoTheStitches([strip], [before])));
    }

    /// <summary>Where the thread's course is known the fit goes no farther from it, however clear a line lies beside; where it is not, it goes there.</summary>
    [Theory]
    [InlineData(0.15)]
    [InlineData(double.PositiveInfinity)]
    public void Settle_GoesNoFartherThanItsReach(double reachMm)
    {
        ProjectedStrip onIt = Projected(Strip((s, u, _) => 60 * PaintedThread.Bell(u + Course(s), 0.18))), strip = Projected(Strip((s, u, _) => 60 * PaintedThread.Bell(u + Course(s) - 0.25, 0.18))) with { ReachMm = reachMm };
        var rows = new TemplateRows(ThreadTracer.LearnTemplate([onIt], null), true);
        var centre = new double[strip.Strip.Along];
        ThreadTracer.Settle(strip, rows, centre, new TracingSettings(), 12);
        double farthest = centre.Max(Math.Abs);
        Assert.True(double.IsFinite(reachMm) ? farthest <= reachMm + 1e-9 && farthest > 0.149 : farthest is > 0.22 and < 0.28, $"{farthest:0.000} mm");

        static ProjectedStrip Projected(ProjectedStrip strip) => strip with { Projected = strip.Strip.Project(new Analyzer.Vision.Stitches.Colour3(1, 0, 0)) };
    }
}
