using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>A thread of the cloth's own colour between its lit side and its shaded one (invented lines whose true place is known; the rule is ours).</summary>
public sealed class LitAndShadedTests
{
    private static readonly IntendedGrid s_grid = new(new BlockSize(100, 100), [new LineFamily(0, 20, new BlockPoint(0, 20)), new LineFamily(90, 20, new BlockPoint(20, 0))]);

    private static double Course(double alongMm) => 0.2 * Math.Sin(alongMm / 5);

    private static TracedLine? Beside(GridLine line, double besideMm, double stepMm = 1)
    {
        double[] along = [.. Enumerable.Range(1, (int)(98 / stepMm)).Select(i => i * stepMm)];
        return new TracedLine
        {
            Line = line,
            AlongMm = along,
            DeviationMm = [.. along.Select(s => Course(s) + besideMm)],
            SigmaMm = [.. along.Select(_ => 0.02)],
            FineAlongMm = along,
            FineDeviationMm = [.. along.Select(s => Course(s) + besideMm)],
            FineSigmaMm = [.. along.Select(_ => 0.02)],
            Noise = new NoiseCorrelation(1),
        };
    }

    /// <summary>In the first family the lit side lies 0.12 mm to one side of the thread and the shaded 0.12 mm to the other; in the second both lie on it.</summary>
    [Fact]
    public void Lines_GoHalfWayToTheShadedSide_EachFamilyByItsOwnDistance()
    {
        TracedLine?[] lit = [.. s_grid.Lines.Select(l => Beside(l, l.Family == 0 ? 0.12 : 0))];
        TracedLine?[] shaded = [.. s_grid.Lines.Select(l => Beside(l, l.Family == 0 ? -0.12 : 0.01))];
        TracedLine?[] between = LitAndShaded.Between(lit, shaded, s_grid);
        for (int i = 0; i < between.Length; i++)
        {
            TracedLine line = between[i]!;
            Assert.All(Enumerable.Range(0, line.AlongMm.Length), k => Assert.Equal(Course(line.AlongMm[k]), line.DeviationMm[k], 1e-9));
            Assert.All(Enumerable.Range(0, line.FineAlongMm.Length), k => Assert.Equal(Course(line.FineAlongMm[k]), line.FineDeviationMm[k], 1e-9));
            Assert.Equal(s_grid.Lines[i].Family == 0 ? 0.3 * 0.24 : 0, line.CommonUMm, 1e-9);
        }
    }

    [Fact]
    public void Lines_TooFarApartForOneThread_StayWhereTheyAre()
    {
        TracedLine?[] lit = [.. s_grid.Lines.Select(l => Beside(l, 0))], shaded = [.. s_grid.Lines.Select(l => Beside(l, 0.6))];
        Assert.Equal(lit, LitAndShaded.Between(lit, shaded, s_grid));
    }

    [Fact]
    public void Gaps_OfTheOneAreSkippedInTheOther()
    {
        bool[] keep = [.. Enumerable.Range(0, 98).Select(i => i % 3 != 0)];
        TracedLine?[] lit = [.. s_grid.Lines.Select(l => Beside(l, 0.1))], shaded = [.. s_grid.Lines.Select(l => Beside(l, -0.1)!.Only(keep))];
        Assert.All(LitAndShaded.Between(lit, shaded, s_grid), l => Assert.Equal(Course(l!.AlongMm[40]), l.DeviationMm[40], 1e-9));
    }

    /// <summary>Lit for twelve millimetres, shaded for the next twelve, the two 0.3 mm apart to the one side in one family and to the other in the other; between them what is neither plainly.</summary>
    [Fact]
    public void BetweenSides_PutsBothOnTheThread()
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => Alternating(l, l.Family == 0 ? 0.3 : -0.3))];
        TracedLine?[] between = LitAndShaded.BetweenSides(lines, Colours, s_grid);
        for (int i = 0; i < between.Length; i++)
        {
            TracedLine line = between[i]!;
            Assert.All(Enumerable.Range(0, line.AlongMm.Length).Where(k => IsPlain(line.AlongMm[k])), k => Assert.Equal(Course(line.AlongMm[k]), line.DeviationMm[k], 0.05));
            Assert.All(Enumerable.Range(0, line.FineAlongMm.Length).Where(k => IsPlain(line.FineAlongMm[k])), k => Assert.Equal(Course(line.FineAlongMm[k]), line.FineDeviationMm[k], 0.05));
            // Three tenths of the distance, which the thread's own course makes a little smaller or greater.
            Assert.All(line.SigmaMm, u => Assert.InRange(u, 0.07, 0.11));
        }
    }

    /// <summary>A thread that is light here and dark there and has no sides, or sides farther apart than a thread is wide, or that changes too seldom to tell.</summary>
    [Theory]
    [InlineData(0, 24)]
    [InlineData(0.9, 24)]
    [InlineData(0.3, 400)]
    public void BetweenSides_LeavesWhatHasNoSides(double apartMm, double periodMm)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => Alternating(l, apartMm, periodMm))];
        Assert.Equal(lines, LitAndShaded.BetweenSides(lines, l => Colours(l, periodMm), s_grid));
    }

    private static TracedLine Alternating(GridLine line, double apartMm, double periodMm = 24)
    {
        TracedLine on = Beside(line, 0)!;
        return on with { DeviationMm = [.. on.AlongMm.Select(s => Course(s) - Side(s, periodMm) * apartMm / 2)], FineDeviationMm = [.. on.FineAlongMm.Select(s => Course(s) - Side(s, periodMm) * apartMm / 2)] };
    }

    /// <summary>1 where lit, -1 where shaded.</summary>
    private static int Side(double alongMm, double periodMm = 24) => alongMm % periodMm < periodMm / 2 ? 1 : -1;

    /// <summary>Not where the one goes over into the other.</summary>
    private static bool IsPlain(double alongMm) => Enumerable.Range(-3, 7).All(d => Side(alongMm + 24 + d) == Side(alongMm));

    private static Colour3[] Colours(TracedLine line) => Colours(line, 24);

    private static Colour3[] Colours(TracedLine line, double periodMm) => [.. line.AlongMm.Select(s => new Colour3(9 * Side(s, periodMm), 1, 1))];

    [Theory]
    [InlineData(5, -3, 0.08, 0.4, true)]
    [InlineData(5, -3, 0.01, 0.4, false)] // the lighter line's profile fits: it is the thread
    [InlineData(-5, 3, 0.08, 0.4, false)] // the darker one scored better
    [InlineData(5, -3, 0.08, 0.05, false)] // the darker one is not dashed
    [InlineData(5, 4, 0.08, 0.4, false)] // both lighter
    public void ShadedSide_IsADarkerDashedLineBesideALighterIllFittingOne(double ownL, double otherL, double misfit, double otherDash, bool expected)
    {
        Candidate own = Of("colour 1", ownL, 5, misfit, 0.5), other = Of("colour 2", otherL, 4.5, 0.1, otherDash);
        Assert.Equal(expected ? other : null, LitAndShaded.ShadedSide(own, [own, other]));

        static Candidate Of(string name, double lightness, double contrast, double misfit, double dash) =>
            new(name, new ThreadColour(new Colour3(lightness, 0.1, 0.1), []), [], [])
            {
                Score = new ClassScore(name, 6, 1, contrast, dash, 2, 0.95, 0.3) { MisfitShare = misfit },
            };
    }
}
