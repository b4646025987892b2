using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Something of the thread's own colour lies on the block (scissors, a clip) and hides a part of the lines; its rim runs close beside one of them. Truth is analytic.</summary>
public sealed class CoveredThreadTests
{
    private const double PxPerMm = 8, SideMm = 120, StitchMm = 2.7, ThreadMm = 0.4;

    /// <summary>The thing on the block is round, mm.</summary>
    private const double MiddleXmm = 24, MiddleYmm = 40, RadiusMm = 22.5;

    private static readonly IntendedGrid s_grid = new(new BlockSize(SideMm, SideMm), [new LineFamily(0, 20, new BlockPoint(0, 20)), new LineFamily(90, 20, new BlockPoint(20, 0))]);

    private static double CourseMm(int line, double alongMm) => 0.3 * Math.Sin(alongMm / 9 + line);

    private static Photo Painted(double cloth, double thread, double thing) => PaintedBlock.Paint(SideMm, PxPerMm, place =>
    {
        double grey = cloth;
        for (int i = 0; i < s_grid.Lines.Count; i++)
        {
            (double off, double along) = PaintedBlock.From(s_grid.Lines[i], s_grid, place);
            double part = along / StitchMm - Math.Floor(along / StitchMm);
            grey += part < 0.82 ? (thread - grey) * PaintedBlock.Inside(off - CourseMm(i, along), ThreadMm, PxPerMm) : 0;
        }
        return grey + (thing - grey) * PaintedBlock.Inside(FromMiddle(place), 2 * RadiusMm, PxPerMm);
    }, noise: 4);

    private static double FromMiddle(BlockPoint p) => double.Hypot(p.Xmm - MiddleXmm, p.Ymm - MiddleYmm);

    [Theory]
    [InlineData(200, 60, 30)]
    [InlineData(70, 190, 220)]
    public void Trace_AlongTheRimOfSomethingOnTheBlock_SaysNothing(double cloth, double thread, double thing)
    {
        using Photo photo = Painted(cloth, thread, thing);
        BlockTraces traces = new StitchTracer().Trace(photo, PaintedBlock.Plane(photo, SideMm), s_grid);
        var wrong = new List<string>();
        int open = 0, seen = 0;
        for (int i = 0; i < s_grid.Lines.Count; i++)
        {
            GridLine intended = s_grid.Lines[i];
            LineFamily family = s_grid.Families[intended.Family];
            open += Enumerable.Range(2, (int)SideMm - 4).Count(s => FromMiddle(Place(s, CourseMm(i, s))) > RadiusMm + 4);
            for (int k = 0; traces.Lines[i] is { } line && k < line.AlongMm.Length; k++)
            {
                double off = line.DeviationMm[k] - CourseMm(i, line.AlongMm[k]);
                if (Math.Abs(off) > 0.2) wrong.Add($"line {i} is {off:0.00} mm off at {line.AlongMm[k]} mm");
                if (FromMiddle(Place(line.AlongMm[k], line.DeviationMm[k])) > RadiusMm + 4) seen++;
            }

            BlockPoint Place(double s, double beside) => family.At(family.Along(intended.From) + s, family.Across(intended.From) + beside);
        }
        Assert.True(wrong.Count == 0, string.Join("; ", wrong));
        Assert.True(seen > 0.95 * open, $"{seen} of {open} samples beside it seen");
    }
}
