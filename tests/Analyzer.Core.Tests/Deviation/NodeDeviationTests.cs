using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;

namespace Analyzer.Core.Tests.Deviation;

/// <summary>Crossings of traces; analytic truths and coverage over seeds.</summary>
public sealed class NodeDeviationTests
{
    private static readonly IntendedGrid Grid = new(new BlockSize(200, 200),
        NamedGrids.Families("triangle", Length.FromMillimetres(25), new BlockSize(200, 200))!);

    private static GridNode Node => Grid.Nodes.Where(n => n.LineIds.Count == 3).OrderBy(n => n.Position.DistanceTo(new BlockPoint(100, 100))).First();

    private static TraceProfile Trace(string id, Func<double, double> deviation, double sigmaMm = 0.01, Random? random = null)
    {
        GridLine line = Grid.Line(id);
        double[] x = [.. Enumerable.Range(0, (int)line.LengthMm).Select(i => i + 0.5)], sigma = [.. x.Select(_ => sigmaMm)];
        var noise = new NoiseCorrelation(2, 0.3);
        double[] drawn = random is null ? new double[x.Length] : CorrelatedNoise.Draw(x, sigma, noise, random);
        return new TraceProfile(line, Grid.Families[line.Family], x, [.. x.Select((v, i) => deviation(v) + drawn[i])], sigma, noise);
    }

    /// <summary>Analytic: lines at 60, -60 and 0 degrees each moved by d toward their own n; every pairwise crossing lies at n·p = d of both its lines.</summary>
    [Fact]
    public void Crossing_OfShiftedLines_SolvesBothNormals()
    {
        TraceProfile[] traces = [.. Node.LineIds.Select(id => Trace(id, _ => 0.3))];
        NodeDeviation node = NodeDeviation.Of(Node.Position, traces);
        Assert.Equal(3, node.Crossings.Count);
        foreach (TraceCrossing c in node.Crossings)
            foreach (TraceProfile t in new[] { c.A, c.B })
                Assert.Equal(0.3, t.Family.Across(c.At) - t.Family.Across(Node.Position), 1e-9);
    }

    /// <summary>Analytic: three lines at 60 degrees to each other, one moved by h, make an equilateral triangle of height h, side 2h/√3.</summary>
    [Fact]
    public void MissTriangle_OfOneShiftedLine_HasSideTwoOverRootThree()
    {
        TraceProfile[] traces = [.. Node.LineIds.Select((id, i) => Trace(id, _ => i == 2 ? 0.5 : 0))];
        NodeDeviation node = NodeDeviation.Of(Node.Position, traces);
        Assert.Equal(2 * 0.5 / Math.Sqrt(3), node.MissTriangleMm!.Value, 1e-9);
    }

    /// <summary>Analytic: a wave is followed locally, a tilted line is not mistaken for an offset.</summary>
    [Fact]
    public void Crossing_OfTiltedLine_IsExact()
    {
        GridNode node = Node;
        string a = node.LineIds[0], b = node.LineIds[2];
        TraceProfile tilted = Trace(a, v => 0.01 * v), straight = Trace(b, _ => 0.2);
        TraceCrossing c = TraceCrossing.Near(tilted, straight, node.Position)!;
        double along = tilted.AlongOf(c.At);
        Assert.Equal(0.01 * along, tilted.Family.Across(c.At) - tilted.Family.Across(tilted.Line.From), 1e-9);
        Assert.Equal(0.2, straight.Family.Across(c.At) - straight.Family.Across(straight.Line.From), 1e-9);
    }

    [Fact]
    public void Crossing_WhereOneThreadWasNotSeen_IsNull()
    {
        TraceProfile a = Trace(Node.LineIds[0], _ => 0), full = Trace(Node.LineIds[1], _ => 0);
        double gap = full.AlongOf(Node.Position);
        int[] keep = [.. Enumerable.Range(0, full.AlongMm.Count).Where(i => Math.Abs(full.AlongMm[i] - gap) > 6)];
        var b = new TraceProfile(full.Line, full.Family, [.. keep.Select(i => full.AlongMm[i])], [.. keep.Select(i => full.DeviationMm[i])], [.. keep.Select(i => full.SigmaMm[i])], full.Noise);
        Assert.Null(TraceCrossing.Near(a, b, Node.Position));
        Assert.Null(NodeDeviation.Of(Node.Position, [a, b]).RadialMm);
    }

    /// <summary>
    /// Coverage over 400 seeds of radial error and miss triangle, also where the truth is near 0 (Rice and folded normal), of threads that sway as by hand;
    /// the true crossings are solved from the courses themselves.
    /// </summary>
    [Theory]
    [InlineData(0.0)]
    [InlineData(0.03)]
    [InlineData(0.3)]
    public void RadialAndTriangle_OfNoisyTraces_CoverTheTruth(double shiftMm)
    {
        const int runs = 400;
        int radial = 0, triangle = 0;
        for (int seed = 0; seed < runs; seed++)
        {
            var random = new Random(seed);
            Func<double, double>[] courses = [.. Node.LineIds.Select((id, i) => HandCourse(Trace(id, _ => 0).AlongOf(Node.Position), i == 2 ? shiftMm : 0, random))];
            TraceProfile[] traces = [.. Node.LineIds.Select((id, i) => Trace(id, courses[i], 0.04, random))];
            NodeDeviation node = NodeDeviation.Of(Node.Position, traces);
            BlockPoint[] real = [.. new[] { (0, 1), (0, 2), (1, 2) }.Select(p => Solve(traces[p.Item1], courses[p.Item1], traces[p.Item2], courses[p.Item2], Node.Position))];
            var middle = new BlockPoint(real.Average(p => p.Xmm), real.Average(p => p.Ymm));
            double longest = Math.Max(real[0].DistanceTo(real[1]), Math.Max(real[0].DistanceTo(real[2]), real[1].DistanceTo(real[2])));
            if (Math.Abs(node.RadialMm!.Value - middle.DistanceTo(Node.Position)) <= 2 * node.RadialUMm!.Value) radial++;
            if (Math.Abs(node.MissTriangleMm!.Value - longest) <= 2 * node.MissTriangleUMm!.Value) triangle++;
        }
        Assert.InRange(radial / (double)runs, 0.92, 0.99);
        Assert.InRange(triangle / (double)runs, 0.92, 0.99);
    }

    /// <summary>Waves of 4, 8 and 20 mm whose heights together bend a thread within ± 1.6 mm by 0.035 mm, as measured on blocks; the phases by chance.</summary>
    private static Func<double, double> HandCourse(double nodeMm, double atNodeMm, Random random)
    {
        (double LengthMm, double HeightMm, double Phase)[] waves =
            [(4, 0.03, Phase()), (8, 0.15, Phase()), (20, 0.6, Phase())];
        double atNode = waves.Sum(w => Height(w, nodeMm));
        return along => atNodeMm + waves.Sum(w => Height(w, along)) - atNode;
        double Phase() => 2 * Math.PI * random.NextDouble();
        static double Height((double LengthMm, double HeightMm, double Phase) w, double along) => w.HeightMm * Math.Sin(2 * Math.PI * along / w.LengthMm + w.Phase);
    }

    /// <summary>Where two courses meet: each line's height is put in at the place found so far, until it stands still.</summary>
    private static BlockPoint Solve(TraceProfile a, Func<double, double> ofA, TraceProfile b, Func<double, double> ofB, BlockPoint near)
    {
        BlockPoint at = near;
        for (int turn = 0; turn < 100; turn++)
        {
            double c = a.Family.Across(a.Line.From) + ofA(a.AlongOf(at)), d = b.Family.Across(b.Line.From) + ofB(b.AlongOf(at));
            double det = a.Family.AcrossX * b.Family.AcrossY - a.Family.AcrossY * b.Family.AcrossX;
            at = new BlockPoint((c * b.Family.AcrossY - d * a.Family.AcrossY) / det, (a.Family.AcrossX * d - b.Family.AcrossX * c) / det);
        }
        return at;
    }
}
