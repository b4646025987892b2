using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>An unsteady hand: every stitch of a plain bright thread goes another way. Truth is analytic: straight stitches from hole to hole.</summary>
public sealed class KinkedThreadTests
{
    private const double PxPerMm = 8, SideMm = 120, StitchMm = 2.7, ThreadMm = 0.42;

    private const byte Cloth = 105, Thread = 235;

    private static readonly IntendedGrid s_grid = new(new BlockSize(SideMm, SideMm), [new LineFamily(0, 20, new BlockPoint(0, 20)), new LineFamily(90, 20, new BlockPoint(20, 0))]);

    /// <summary>How far hole k of a line lies beside it, mm.</summary>
    private static double HoleMm(int line, int k) => 0.32 * Math.Sin(2.1 * k + 1.3 * line) + 0.22 * Math.Sin(0.7 * k + line);

    private static double CourseMm(int line, double alongMm)
    {
        int k = (int)Math.Floor(alongMm / StitchMm);
        double part = alongMm / StitchMm - k;
        return (1 - part) * HoleMm(line, k) + part * HoleMm(line, k + 1);
    }

    /// <summary>How bright the thread is where it dives into its holes and comes up again.</summary>
    private static double Lit(double alongMm)
    {
        double fromHole = Math.Abs(alongMm / StitchMm - Math.Round(alongMm / StitchMm)) * StitchMm;
        return Math.Clamp(0.15 + fromHole / 0.35, 0, 1);
    }

    private static Photo Painted() => PaintedBlock.Paint(SideMm, PxPerMm, place =>
    {
        double grey = Cloth;
        for (int i = 0; i < s_grid.Lines.Count; i++)
        {
            (double off, double along) = PaintedBlock.From(s_grid.Lines[i], s_grid, place);
            double rising = (CourseMm(i, along + 0.05) - CourseMm(i, along - 0.05)) / 0.1, across = (off - CourseMm(i, along)) / Math.Sqrt(1 + rising * rising);
            grey += (Thread - grey) * Lit(along) * PaintedBlock.Inside(across, ThreadMm, PxPerMm);
        }
        return grey;
    }, noise: 6);

    [Fact]
    public void Trace_OfStitchesThatGoToAndFro_FollowsEveryStitch()
    {
        using Photo photo = Painted();
        BlockTraces traces = new StitchTracer().Trace(photo, PaintedBlock.Plane(photo, SideMm), s_grid);
        double[] off = [.. traces.Lines.SelectMany((l, i) => l is null ? [] : l.AlongMm.Zip(l.DeviationMm, (s, d) => Math.Abs(d - CourseMm(i, s)))).Order()];
        Assert.True(off.Length > 0.95 * s_grid.Lines.Sum(l => l.LengthMm - 2), $"{off.Length} samples");
        Assert.True(off[off.Length / 2] < 0.025 && off[(int)(0.95 * off.Length)] < 0.08, $"{off[off.Length / 2]:0.000} and {off[(int)(0.95 * off.Length)]:0.000} mm");
    }

    /// <summary>Along the stitches the cloth changes most, and that course is taken where a thread wanders in a mark. An uneven hand's differs from the fit's by quick change alone: that is no mark.</summary>
    [Theory]
    [InlineData(0.2, 2, 0, true)]
    [InlineData(0.05, 2, 0.2, false)]
    [InlineData(0.25, 40, 0, false)]
    [InlineData(0.3, 15, 0, false)]
    public void CourseOfTheStitches_IsAnother_OnlyWhereItLeavesForSomeWay(double amplitudeMm, double periodMm, double asideMm, bool alike)
    {
        double[] fit = new double[960], stitches = [.. Enumerable.Range(0, 960).Select(i => asideMm + amplitudeMm * Math.Sin(2 * Math.PI * i * ThreadStrip.AlongStepMm / periodMm))];
        Assert.Equal(alike, FollowedFurrow.AreAlike([fit], [stitches]));
    }
}
