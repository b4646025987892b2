using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Tests.Learnt;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>The fit's and the net's courses joined: invented courses and log odds, expected places worked out by hand.</summary>
public sealed class JoinedTraceTests
{
    private static readonly IntendedGrid Grid = new(new BlockSize(100, 100), [new LineFamily(0, 20, new BlockPoint(0, 10))]);

    private static readonly GridLine Line = Grid.Lines[2];

    private static readonly TracingSettings Settings = new();

    /// <summary>What a net would say that was taught a bell of 0.22 mm about the thread: log odds as given on the thread, and falling beside it.</summary>
    private static SightPath Net(Func<double, double> courseMm, Func<double, double> odds) => InventedStrip.Of((int)(Line.LengthMm / SightStrip.CellMm), (along, deviation) =>
    {
        double off = deviation - courseMm(along), share = Math.Exp(-0.5 * off * off / (0.22 * 0.22)) / (1 + Math.Exp(-odds(along)));
        return Math.Max(-6, Math.Log(share / (1 - share)));
    }).Path(4);

    private static TracedLine Join(TracedLine fit, SightPath net) => JoinedTrace.Of(fit, fit, false, net, Grid, Settings);

    private static TracedLine Fit(Func<double, double> deviationMm, double sigmaMm, Func<double, bool>? seen = null)
    {
        double[] possible = [.. Enumerable.Range(1, 98).Select(mm => (double)mm)], along = [.. possible.Where(seen ?? (_ => true))];
        return new TracedLine
        {
            Line = Line,
            AlongMm = along,
            DeviationMm = [.. along.Select(deviationMm)],
            SigmaMm = [.. along.Select(_ => sigmaMm)],
            Noise = new NoiseCorrelation(1),
            PossibleMm = possible,
            FineAlongMm = [.. along.SelectMany(s => new[] { s, s + 0.25, s + 0.5, s + 0.75 })],
            FineDeviationMm = [.. along.SelectMany(s => new[] { s, s + 0.25, s + 0.5, s + 0.75 }).Select(deviationMm)],
            FineSigmaMm = [.. along.SelectMany(_ => new[] { sigmaMm, sigmaMm, sigmaMm, sigmaMm })],
            Coverage = along.Length / 98.0,
            DashCorrelation = 0.5,
        };
    }

    /// <summary>Where something lies on the block the net fills no gap, neither together with the fit nor alone; elsewhere it does.</summary>
    [Fact]
    public void HiddenPlaces_StayUnseen_HoweverSureTheNet()
    {
        SightPath net = Net(_ => 0.055, _ => 4);
        double[] hidden = [.. Enumerable.Range(30, 11).Select(mm => (double)mm)];
        TracedLine fit = Fit(_ => 0, 0.03, s => s is < 25 or > 45) with { HiddenMm = hidden };
        foreach (TracedLine joined in new[] { Join(fit, net), JoinedTrace.Of(Line, net, Grid, Settings, 0, hidden) })
        {
            Assert.DoesNotContain(joined.AlongMm, s => hidden.Contains(s));
            Assert.DoesNotContain(joined.FineAlongMm, s => s is > 30 and < 40);
            Assert.Contains(27, joined.AlongMm);
            Assert.Equal(hidden, joined.HiddenMm);
        }
    }

    /// <summary>The net's cells are a third of a millimetre; between them the bell it was taught says where its top is.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(0.11)]
    [InlineData(-0.8)]
    public void CourseAt_BetweenTheCells_IsTheBellsTop(double level)
    {
        double Course(double s) => level + 0.003 * s;
        SightPath net = Net(Course, _ => 2.5);
        Assert.All(Enumerable.Range(5, 90), mm => Assert.Equal(Course(mm), net.CourseAt(mm), 0.02));
    }

    /// <summary>What is common to the line and what differs from place to place is weighed apart: the fit is surer of its shape and the net of its place, or each as sure as the other.</summary>
    [Fact]
    public void Of_WeighsPlaceAndShapeEachByHowSureItIs()
    {
        static double Wave(double s) => 0.1 * Math.Sin(2 * Math.PI * s / 25);
        SightPath net = Net(_ => 0.1, _ => 2.5);
        // 0.2 mm less by the e-th part for every 1/0.7 log odds; half of that is common to the line.
        double shape = 0.2 * Math.Exp(-0.7 * net.OddsAt(50)), place = shape / 2;
        TracedLine fit = Fit(Wave, shape) with { CommonUMm = place };
        TracedLine half = Join(fit, net), placed = Join(fit with { CommonUMm = 10 * place, SigmaMm = [.. fit.SigmaMm.Select(u => u / 10)] }, net);
        Assert.All(Enumerable.Range(10, 80), mm => Assert.Equal(0.05 + 0.5 * Wave(mm), half.At(mm), 0.012));
        Assert.Equal(Math.Sqrt(place * place / 2 + 0.01 / 4), half.CommonUMm, 0.004);
        Assert.All(Enumerable.Range(10, 80), mm => Assert.Equal(0.1 + Wave(mm), placed.At(mm), 0.012));
        Assert.Equal(0.5, half.DashCorrelation);
    }

    /// <summary>The fit went over to a mark for a part of the way: there the thread is where the net sees it, and nowhere between the two.</summary>
    [Fact]
    public void Of_WhereTheFitLeftTheThread_GoesWithTheNet()
    {
        TracedLine joined = Join(Fit(s => s is > 30 and < 50 ? 1 : 0, 0.02), Net(_ => 0, _ => 2.5));
        Assert.All(joined.DeviationMm, d => Assert.Equal(0, d, 0.02));
        Assert.Equal(0.5, joined.DashCorrelation);
    }

    /// <summary>
    /// A loose end of thread lies beside the line for a part of the way, and the net goes with it: where the stitches told the place that place stands, in the fine trace too, and elsewhere the two are joined as ever.
    /// </summary>
    [Fact]
    public void Of_WhereTheStitchesToldThePlace_KeepsToThem()
    {
        const double u = 0.1;
        TracedLine fit = Fit(_ => 0, u);
        SightPath net = Net(s => s is > 30 and < 50 ? 1 : 0, _ => 2.5);
        double[] told = [.. Enumerable.Range(30, 21).Select(mm => (double)mm)];
        TracedLine with = Join(fit with { ByStitchesMm = told }, net), without = Join(fit, net);
        Assert.All(with.DeviationMm, d => Assert.Equal(0, d, 0.02));
        Assert.All(with.FineAlongMm.Zip(with.FineDeviationMm).Where(p => p.First is > 32 and < 48), p => Assert.Equal(0, p.Second, 0.02));
        Assert.All(told[2..^2], s => Assert.Equal(u, with.SigmaMm[Array.IndexOf(with.AlongMm, s)], 0.001));
        Assert.All(told[2..^2], s => Assert.Equal(1, without.At(s), 0.1));
    }

    /// <summary>It followed the mark nearly all the way: then nothing of what is known of its stitches is known of the thread's.</summary>
    [Fact]
    public void Of_WhereTheFitFollowedSomethingElse_IsTheNetsAlone()
    {
        TracedLine joined = Join(Fit(s => s < 70 ? 1 : 0, 0.02), Net(_ => 0, _ => 2.5));
        Assert.All(joined.DeviationMm, d => Assert.Equal(0, d, 0.02));
        Assert.Equal(0, joined.DashCorrelation);
        Assert.Null(joined.StitchLengthMm);
        Assert.True(joined.Coverage > 0.98);
    }

    /// <summary>And where it is the net that sees nothing where the fit is, but is not sure of anything else either, the fit stays.</summary>
    [Fact]
    public void Of_WhereTheNetIsUnsure_KeepsTheFit()
    {
        TracedLine joined = Join(Fit(_ => 1, 0.03), Net(_ => 0, _ => -1));
        Assert.All(joined.DeviationMm, d => Assert.Equal(1, d, 0.03));
    }

    /// <summary>A gap of the fit's is filled where the net is sure, and stays a gap where it is not.</summary>
    [Fact]
    public void Of_FillsGaps_WhereTheNetIsSure()
    {
        static bool Seen(double s) => s is < 20 or > 30 and < 60 or > 70;
        TracedLine joined = Join(Fit(_ => 0, 0.02, Seen), Net(_ => 0.02, s => s < 45 ? 5 : 0));
        Assert.Contains(25, joined.AlongMm);
        Assert.DoesNotContain(65, joined.AlongMm);
        Assert.Equal(joined.AlongMm.Length / 98.0, joined.Coverage, 3);
    }

    /// <summary>A line's scatter is given narrower than it was weighed with; what else is unsure of a place stays, and so does what the net alone said.</summary>
    [Fact]
    public void TrueScatter_TakesOffScatterOnly()
    {
        double[] along = [.. Enumerable.Range(1, 20).Select(i => (double)i)];
        var line = new TracedLine
        {
            Line = Grid.Lines[0],
            AlongMm = along,
            DeviationMm = [.. along.Select(_ => 0.0)],
            SigmaMm = [.. along.Select(_ => 0.05)],
            ScatterMm = [.. along.Select(_ => 0.03)],
            Noise = new NoiseCorrelation(1),
            FineAlongMm = [1, 1.25, 10.5, 20],
            FineDeviationMm = [0, 0, 0, 0],
            FineSigmaMm = [0.05, 0.05, 0.05, 0.05],
        };
        TracedLine narrower = line.WithTrueScatter();
        double scatter = narrower.ScatterMm[0];
        Assert.InRange(scatter, 0.5 * 0.03, 0.8 * 0.03);
        // 0.04 mm of doubt, 3-4-5 with the scatter.
        Assert.All(narrower.SigmaMm.Concat(narrower.FineSigmaMm), u => Assert.Equal(Math.Sqrt(0.04 * 0.04 + scatter * scatter), u, 9));
        Assert.Equal(line.SigmaMm, (line with { NetShare = 1 }).WithTrueScatter().SigmaMm);
        Assert.Empty((line with { AlongMm = [], DeviationMm = [], SigmaMm = [], ScatterMm = [], FineAlongMm = [], FineDeviationMm = [], FineSigmaMm = [] }).WithTrueScatter().SigmaMm);
    }
}
