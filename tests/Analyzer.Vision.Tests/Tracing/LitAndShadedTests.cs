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

    /// <summary>Lit for twelve millimetres, shaded for the next twelve, the two 0.3 mm apart to the one side in one family and to the other in the other, and the lines aslant by more than half a degree.</summary>
    [Fact]
    public void BetweenSides_PutsBothOnTheThread()
    {
        const double apartMm = 0.3;
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => Alternating(l, l.Family == 0 ? apartMm : -apartMm, Half, slope: 0.01))];
        TracedLine?[] between = LitAndShaded.BetweenSides(lines, l => Colours(l, Half), s_grid);
        for (int i = 0; i < between.Length; i++)
        {
            TracedLine line = between[i]!;
            // A change within two millimetres of a line's end is not told.
            for (int k = 2; k + 2 < line.AlongMm.Length; k++)
            {
                double errorMm = Math.Abs(line.DeviationMm[k] - Course(line.AlongMm[k]) - 0.01 * line.AlongMm[k]);
                Assert.True(errorMm < (IsPlain(line.AlongMm[k] + Phase(line.Line), Half) ? 0.05 : 0.16), $"{errorMm:0.000} mm at {line.AlongMm[k]} mm");
            }
            Assert.Equal(line.DeviationMm, line.FineDeviationMm);
            // Three tenths of the distance at each place; of the whole line only as much as it is more lit than shaded.
            Assert.All(line.SigmaMm, u => Assert.InRange(u, 0.08, 0.11));
            Assert.True(line.CommonUMm < 0.02);
        }
    }

    /// <summary>A thread that is light here and dark there without sides; sides farther apart than a thread is wide; a change in each line, always the same way; stretches that are hardly lighter or darker than the cloth.</summary>
    [Theory]
    [InlineData(0, Half, 9)]
    [InlineData(0.9, Half, 9)]
    [InlineData(0.3, 60, 9)]
    [InlineData(0.3, Half, 1.5)]
    public void BetweenSides_LeavesWhatHasNoSides(double apartMm, double halfMm, double lightness)
    {
        TracedLine?[] lines = [.. s_grid.Lines.Select(l => Alternating(l, apartMm, halfMm, slope: 0.01))];
        Assert.Equal(lines, LitAndShaded.BetweenSides(lines, l => Colours(l, halfMm, lightness), s_grid));
    }

    /// <summary>The darker side now to the left and now to the right of the lighter, from line to line; and a thread of two colours, which are not light and shade of one.</summary>
    [Fact]
    public void BetweenSides_LeavesWhatIsNotOneThreadInOneLight()
    {
        TracedLine?[] turned = [.. s_grid.Lines.Select(l => Alternating(l, l.Index % 2 == 0 ? 0.3 : -0.3, Half))], twoColours = [.. s_grid.Lines.Select(l => Alternating(l, 0.3, Half))];
        Assert.Equal(turned, LitAndShaded.BetweenSides(turned, l => Colours(l, Half), s_grid));
        Assert.Equal(twoColours, LitAndShaded.BetweenSides(twoColours, l => [.. l.AlongMm.Select(s => new Colour3(6 * Side(s + Phase(l.Line), Half), 8, 0))], s_grid));
    }

    private const double Half = 12;

    private static TracedLine Alternating(GridLine line, double apartMm, double halfMm, double slope = 0)
    {
        TracedLine on = Beside(line, 0)!;
        double[] at = [.. on.AlongMm.Select(s => Course(s) + slope * s - Side(s + Phase(line), halfMm) * apartMm / 2)];
        return on with { DeviationMm = at, FineDeviationMm = at };
    }

    /// <summary>Every line begins elsewhere, so that what its own course adds to a change is by chance.</summary>
    private static double Phase(GridLine line) => 5 * Math.Abs(line.Index);

    /// <summary>1 where lit, -1 where shaded, in turns.</summary>
    private static int Side(double alongMm, double halfMm) => alongMm % (2 * halfMm) < halfMm ? 1 : -1;

    /// <summary>Not where the one goes over into the other.</summary>
    private static bool IsPlain(double alongMm, double halfMm) => Enumerable.Range(-2, 5).All(d => Side(alongMm + 2 * halfMm + d, halfMm) == Side(alongMm, halfMm));

    private static Colour3[] Colours(TracedLine line, double halfMm, double lightness = 9) => [.. line.AlongMm.Select(s => Side(s + Phase(line.Line), halfMm) * new Colour3(lightness, lightness / 9, lightness / 9))];

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
