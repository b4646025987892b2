using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Grids;
using Analyzer.Planning.Route;

namespace Analyzer.Planning.Tests.Grids;

/// <summary>Spacings that close: external check H7.</summary>
public sealed class GridFitTests
{
    private const double Inch = 25.4;

    private static readonly BlockSize Twelve = new(12 * Inch, 12 * Inch);

    /// <summary>H7: node pitch along a row d/sin a, row pitch d/(2 cos a).</summary>
    [Theory]
    [InlineData(45, 1.414214, 0.707107)]
    [InlineData(60, 1.154701, 1)]
    public void Pitch_OfUnitSpacing_IsAsStated(double angleDeg, double pitch, double row)
    {
        Assert.Equal(pitch, GridFit.PitchAlongRow(1, angleDeg), 6);
        Assert.Equal(row, GridFit.RowPitch(1, angleDeg), 6);
    }

    /// <summary>H7: 12 in, 45 degrees, about 1 in: n 8 (1.060660 in) or n 9 (0.942809 in).</summary>
    [Fact]
    public void Offers_OfOneInchDiamondsOnTwelve_AreEightAndNine()
    {
        FitResult fit = GridFit.Offers("diamond", Inch, Twelve);
        Assert.False(fit.WishCloses);
        Assert.True(fit.AngleCloses);
        var first = fit.Offers.Take(2).OrderBy(o => o.Columns).ToList();
        Assert.Equal((8, 8), (first[0].Columns, first[0].Rows));
        Assert.Equal(1.060660, first[0].SpacingMm / Inch, 6);
        Assert.Equal((9, 9), (first[1].Columns, first[1].Rows));
        Assert.Equal(0.942809, first[1].SpacingMm / Inch, 6);
    }

    /// <summary>H7: a square with 60 degrees cannot close on both sides; n/m = 7/4 60.255, 12/7 59.744, 19/11 59.931, 26/15 60.018 degrees.</summary>
    [Theory]
    [InlineData(7, 4, 60.255)]
    [InlineData(12, 7, 59.744)]
    [InlineData(19, 11, 59.931)]
    [InlineData(26, 15, 60.018)]
    public void Offers_OfEquilateralOnSquare_HoldTheNearAngles(int columns, int rows, double angleDeg)
    {
        double spacing = 12 * Inch * Math.Sin(angleDeg * Math.PI / 180) / columns;
        FitResult fit = GridFit.Offers("triangle", spacing, Twelve);
        Assert.False(fit.AngleCloses);
        FittedGrid offer = Assert.Single(fit.Offers, o => o.Columns == columns && o.Rows == rows);
        Assert.Equal(angleDeg, offer.AngleDeg, 3);
        Assert.Same(offer, fit.Offers[0]);
    }

    /// <summary>Every offer, sewn as lines, meets on every side: no line end stands alone on the border but the horizontals between two rows.</summary>
    [Fact]
    public void Offers_OfRandomBlocks_MeetOnEverySide()
    {
        var random = new Random(7);
        int tried = 0;
        for (int i = 0; i < 60; i++)
        {
            var size = new BlockSize(150 + random.Next(30) * 10, 150 + random.Next(30) * 10);
            string name = ((string[])["square", "diamond", "diamond60", "diamond30", "triangle", "triangle45"])[random.Next(6)];
            foreach (FittedGrid offer in GridFit.Offers(name, 20 + random.NextDouble() * 20, size).Offers)
            {
                tried++;
                var grid = new IntendedGrid(size, offer.Families);
                foreach (GridLine line in grid.Lines.Where(l => name != "square" && l.Family < 2))
                    foreach (BlockPoint end in (BlockPoint[])[line.From, line.To])
                        Assert.True(IsCorner(size, end) || grid.Lines.Any(l => l.Family == 1 - line.Family && (l.From.DistanceTo(end) < 1e-3 || l.To.DistanceTo(end) < 1e-3)),
                            $"{name} {size.WidthMm} x {size.HeightMm}: line {line.Id} ends alone");
                if (name != "square") Assert.Equal(2 * (offer.Columns + offer.Rows), CountEnds(grid, offer));
            }
        }
        Assert.True(tried > 60, $"only {tried} offers");
    }

    [Fact]
    public void Offers_OfSquareThatCloses_SaySo()
    {
        FitResult fit = GridFit.Offers("square", Inch, Twelve);
        Assert.True(fit.WishCloses);
        Assert.Equal((12, 12), (fit.Offers[0].Columns, fit.Offers[0].Rows));
    }

    /// <summary>Diamonds to triangles and back again is the same grid; the horizontals run through every crossing (H7 row pitch).</summary>
    [Fact]
    public void MiddleLines_AddedAndDropped_LeaveTheDiamonds()
    {
        IReadOnlyList<LineFamily> diamonds = NamedGrids.Families("diamond60", new(Inch), Twelve)!;
        IReadOnlyList<LineFamily> triangles = GridDerivation.AddMiddleLines(diamonds)!;
        Assert.Equal(GridFit.RowPitch(Inch, 60), triangles[2].SpacingMm, 9);
        var grid = new IntendedGrid(Twelve, triangles);
        Assert.All(grid.Nodes, node => Assert.Equal(3, node.LineIds.Count));
        Assert.Equal(diamonds, GridDerivation.DropMiddleLines(triangles));
        Assert.Equal(90, GridDerivation.AddMiddleLines(diamonds, upright: true)![2].AngleDeg);
        Assert.Null(GridDerivation.AddMiddleLines(triangles));
        Assert.Null(GridDerivation.DropMiddleLines(diamonds));
    }

    private static bool IsCorner(BlockSize size, BlockPoint p) => size.Corners().Any(c => c.DistanceTo(p) < 1e-3);

    /// <summary>Points of the border where slanting lines end, corners counted even where no line fits.</summary>
    private static int CountEnds(IntendedGrid grid, FittedGrid offer)
    {
        var ring = new BorderRing(grid.Size, [.. grid.Lines.Where(l => l.Family < 2)]);
        Assert.True(offer.Columns > 0);
        return ring.Count;
    }
}
