using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;

namespace Analyzer.Planning.Tests.Route;

/// <summary>Blocks the route tests share.</summary>
internal static class Blocks
{
    public const double CellMm = 20;

    /// <summary>n x m squares of side CellMm with both diagonals through every whole border point; horizontals at every row or half row where asked.</summary>
    public static IntendedGrid OnPoint(int n, int m, double? rowMm = null)
    {
        var size = new BlockSize(n * CellMm, m * CellMm);
        var corner = new BlockPoint(0, size.HeightMm);
        var families = new List<LineFamily> { new(45, CellMm / Math.Sqrt(2), corner), new(-45, CellMm / Math.Sqrt(2), corner) };
        if (rowMm is { } row) families.Add(new LineFamily(0, row, corner));
        return new IntendedGrid(size, families);
    }

    /// <summary>A block with random sides, families, spacings and offsets, or null when no line fits.</summary>
    public static IntendedGrid? Random(Random random, int mostLines)
    {
        var size = new BlockSize(60 + random.NextDouble() * 240, 60 + random.NextDouble() * 240);
        int count = random.Next(1, 4);
        var families = new List<LineFamily>();
        double[] round = [0, 90, 45, -45, 60, -60, 30];
        for (int f = 0; f < count; f++)
        {
            double angle = random.Next(2) == 0 ? round[random.Next(round.Length)] : -80 + 160 * random.NextDouble();
            BlockPoint through = random.Next(2) == 0 ? new BlockPoint(0, size.HeightMm) : new BlockPoint(random.NextDouble() * 50, random.NextDouble() * 50);
            families.Add(new LineFamily(angle, 15 + random.NextDouble() * 80, through));
        }
        try
        {
            var grid = new IntendedGrid(size, families);
            return grid.Lines.Count <= mostLines ? grid : null;
        }
        catch (ArgumentException)
        {
            return null;
        }
    }

    /// <summary>Fails unless the route sews every line once, the border as the rule says, without a break, with every turn on the border.</summary>
    public static void AssertSound(IntendedGrid grid, StitchRoute route)
    {
        Assert.Equal(grid.Lines.Select(l => l.Id).Order(), route.LineOrder.Order());
        for (int i = 1; i < route.Steps.Count; i++)
            Assert.True(route.Steps[i].From.DistanceTo(route.Steps[i - 1].To) < 1e-9, $"step {i + 1} does not begin where step {i} ends");
        foreach (RouteStep step in route.Steps)
        {
            Assert.True(OnBorder(grid.Size, step.From) && OnBorder(grid.Size, step.To));
            if (step.LineId is { } id)
            {
                GridLine line = grid.Line(id);
                double straight = line.From.DistanceTo(step.From) + line.To.DistanceTo(step.To);
                double turned = line.To.DistanceTo(step.From) + line.From.DistanceTo(step.To);
                Assert.True(Math.Min(straight, turned) < 2 * BorderRing.SamePointMm);
            }
            else if (step.Kind != StepKind.Cut)
            {
                for (int k = 1; k < step.Points.Count; k++) Assert.True(AlongBorder(grid.Size, step.Points[k - 1], step.Points[k]));
            }
        }
        double perimeter = 2 * (grid.Size.WidthMm + grid.Size.HeightMm);
        Assert.Equal(route.Rule == RouteRule.LinesOnly ? 0 : perimeter, route.DitchMm, 6);
        Assert.Equal(route.Cuts, route.Steps.Count(s => s.Kind == StepKind.Cut));
        if (route.Rule is RouteRule.NoSecondPass or RouteRule.LinesOnly) Assert.Equal(0, route.DitchAgainMm);
        else Assert.Equal(0, route.Cuts);
    }

    private static bool OnBorder(BlockSize size, BlockPoint p) =>
        Math.Min(Math.Min(Math.Abs(p.Xmm), Math.Abs(p.Ymm)), Math.Min(Math.Abs(size.WidthMm - p.Xmm), Math.Abs(size.HeightMm - p.Ymm))) < 1e-9;

    private static bool AlongBorder(BlockSize size, BlockPoint a, BlockPoint b) =>
        (Math.Abs(a.Xmm - b.Xmm) < 1e-9 && (Math.Abs(a.Xmm) < 1e-9 || Math.Abs(a.Xmm - size.WidthMm) < 1e-9)) ||
        (Math.Abs(a.Ymm - b.Ymm) < 1e-9 && (Math.Abs(a.Ymm) < 1e-9 || Math.Abs(a.Ymm - size.HeightMm) < 1e-9));
}
