using Analyzer.Core.Causes;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Tests.Deviation;
using Analyzer.Core.Units;

namespace Analyzer.Core.Tests.Causes;

/// <summary>Recognising a grid from found lines; truths are the grids the lines were made from.</summary>
public sealed class GridCheckTests
{
    private static readonly BlockSize Size = new(203.2, 203.2);

    /// <summary>Seven lines of 0.2 degrees scatter have a mean good to 0.08, a few long ones dominating: five times that.</summary>
    private const double AngleToleranceDeg = 0.4;

    private static IntendedGrid Grid(string name, double spacingMm) => new(Size, NamedGrids.Families(name, Length.FromMillimetres(spacingMm), Size)!);

    /// <summary>Lines of a grid, stitched with offset 0.3 mm and turn 0.2 degrees (sd), some left out, a few stray ones added, the whole turned and moved.</summary>
    private static List<FoundLine> Found(IntendedGrid grid, int seed, double missing = 0.1, int stray = 0, double turnDeg = 0, double dx = 0, double dy = 0)
    {
        var random = new Random(seed);
        var found = new List<FoundLine>();
        BlockPoint Moved(BlockPoint p)
        {
            (double s, double c) = Math.SinCos(-turnDeg * Math.PI / 180);
            double x = p.Xmm - Size.WidthMm / 2, y = p.Ymm - Size.HeightMm / 2;
            return new BlockPoint(c * x - s * y + Size.WidthMm / 2 + dx, s * x + c * y + Size.HeightMm / 2 + dy);
        }
        foreach (GridLine line in grid.Lines.Where(l => l.LengthMm > 20))
        {
            if (random.NextDouble() < missing) continue;
            LineFamily f = grid.Families[line.Family];
            double offset = 0.3 * CorrelatedNoise.Normal(random), turn = 0.2 * Math.PI / 180 * CorrelatedNoise.Normal(random) * line.LengthMm / 2;
            found.Add(new FoundLine(
                Moved(new(line.From.Xmm + f.AcrossX * (offset - turn), line.From.Ymm + f.AcrossY * (offset - turn))),
                Moved(new(line.To.Xmm + f.AcrossX * (offset + turn), line.To.Ymm + f.AcrossY * (offset + turn)))));
        }
        for (int i = 0; i < stray; i++)
            found.Add(new FoundLine(new(0, 200 * random.NextDouble()), new(200, 200 * random.NextDouble())));
        return found;
    }

    [Theory]
    [InlineData("square", 25.4)]
    [InlineData("square", 12.7)]
    [InlineData("diamond", 19.05)]
    [InlineData("triangle", 25.4)]
    [InlineData("triangle45", 20)]
    public void Fit_OfFoundLines_RecoversAngleSpacingAndPlace(string name, double spacingMm)
    {
        IntendedGrid grid = Grid(name, spacingMm);
        for (int seed = 0; seed < 20; seed++)
        {
            FittedGrid fit = GridFit.Fit(Found(grid, seed, missing: 0), Size);
            Assert.Equal(grid.Families.Count, fit.Families.Count);
            foreach (LineFamily meant in grid.Families)
            {
                FittedFamily f = fit.Families.MinBy(x => Math.Abs(FittedFamily.Fold(x.AngleDeg - meant.AngleDeg)))!;
                Assert.Equal(0, FittedFamily.Fold(f.AngleDeg - meant.AngleDeg), AngleToleranceDeg);
                Assert.Equal(meant.SpacingMm, f.SpacingMm!.Value, 0.02 * meant.SpacingMm);
                double phase = (meant.Across(f.Through) - meant.Across(meant.Through)) / meant.SpacingMm;
                Assert.Equal(0, phase - Math.Round(phase), 0.06);
            }
        }
    }

    /// <summary>The right grid, with usual errors, missing lines and a stray one, is never called another.</summary>
    [Theory]
    [InlineData("square", 25.4)]
    [InlineData("square", 12.7)]
    [InlineData("diamond", 19.05)]
    [InlineData("triangle", 25.4)]
    [InlineData("triangle45", 20)]
    public void Check_OfRightGrid_Agrees(string name, double spacingMm)
    {
        IntendedGrid grid = Grid(name, spacingMm);
        for (int seed = 0; seed < 40; seed++)
        {
            GridCheck check = GridCheck.Of(Found(grid, seed, 0.15, seed % 2), grid);
            Assert.True(check.Verdict is GridVerdict.Agrees or GridVerdict.Unclear, $"seed {seed}: {check.Verdict} {check.Suggestion?.Message}");
        }
    }

    [Theory]
    [InlineData("square", 25.4, "square", 19.05, "--grid \"square:3/4in\"")]
    [InlineData("diamond", 25.4, "diamond", 19.05, "--grid \"diamond:3/4in\"")]
    [InlineData("square", 25.4, "diamond", 25.4, "--grid \"diamond:1in\"")]
    [InlineData("diamond", 25.4, "triangle", 25.4, "--grid \"triangle:1in\"")]
    [InlineData("square", 25.4, "square", 12.7, "--grid \"square:1/2in\"")]
    [InlineData("square", 12.7, "square", 25.4, "--grid \"square:1in\"")]
    public void Check_OfWrongGrid_NamesTheRightOne(string given, double givenMm, string real, double realMm, string options)
    {
        int named = 0;
        string others = "";
        const int runs = 10;
        for (int seed = 0; seed < runs; seed++)
        {
            GridCheck check = GridCheck.Of(Found(Grid(real, realMm), seed), Grid(given, givenMm));
            Assert.Equal(GridVerdict.Other, check.Verdict);
            if (check.Suggestion!.CommandOptions == options) named++;
            else others += $"; {check.Suggestion.Message}";
        }
        Assert.True(named >= 9, $"named on {named} of {runs}{others}");
    }

    [Fact]
    public void Check_OfTurnedAndMovedGrid_SaysSo()
    {
        IntendedGrid grid = Grid("square", 25.4);
        for (int seed = 0; seed < 10; seed++)
        {
            GridCheck turned = GridCheck.Of(Found(grid, seed, turnDeg: 2), grid), moved = GridCheck.Of(Found(grid, seed, dx: 6, dy: -4), grid);
            Assert.Equal(GridVerdict.MovedAsAWhole, turned.Verdict);
            Assert.Matches(@"turned by (1\.[89]|2\.[0-2]) degrees counter-clockwise", turned.Suggestion!.Message);
            Assert.Equal(GridVerdict.MovedAsAWhole, moved.Verdict);
            Assert.Matches(@"moved (5\.[5-9]|6\.[0-5]) mm to the right and (3\.[5-9]|4\.[0-5]) mm up", moved.Suggestion!.Message);
            Assert.StartsWith("--lines \"", moved.Suggestion.CommandOptions, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Check_OfHandfulOfLines_IsUnclear()
    {
        IntendedGrid grid = Grid("square", 25.4);
        Assert.Equal(GridVerdict.Unclear, GridCheck.Of([.. Found(grid, 1).Take(2)], grid).Verdict);
        Assert.Equal(GridVerdict.Unclear, GridCheck.Of([], grid).Verdict);
    }

    [Fact]
    public void ToGrid_OfFoundLines_CanBeMeasuredAgainst()
    {
        IntendedGrid? grid = GridFit.Fit(Found(Grid("triangle", 25.4), 3), Size).ToGrid(Size);
        Assert.NotNull(grid);
        Assert.Equal(3, grid.Families.Count);
    }
}
