using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Testing;
using Analyzer.Vision.Photos;
using Xunit.Abstractions;

namespace Analyzer.Pipeline.Tests;

/// <summary>
/// External check N4, the invariances that need no oracle: the same photo turned by 90 degrees, mirrored, saved once more at JPEG 90, doubled in size, and with its
/// corners named from another one on. Every number that the report gives must move by less than its stated uncertainty (what is printed as give or take, 2u).
/// </summary>
public sealed class InvarianceTests(ITestOutputHelper output)
{
    private static readonly BlockSize Size = new(110, 90);

    private static readonly SyntheticPhoto Rendered = SceneRenderer.Render(new SceneSettings
    {
        Seed = 7301,
        Size = Size,
        Families = [new LineFamily(0, 22, new BlockPoint(0, 79)), new LineFamily(60, 24, new BlockPoint(0, 90)), new LineFamily(-60, 24, new BlockPoint(0, 90))],
        Camera = SceneSettings.Framing(Size, pixelsPerMm: 8, marginMm: 20) with { TiltDeg = 6 },
    });

    private static readonly Lazy<AccuracyReport> Upright = new(() => Measure(Rendered, Rendered.Truth.Grid, Corners(p => p)));

    private static readonly int Width = Rendered.WidthPx, Height = Rendered.HeightPx;

    private static BlockCorners Corners(Func<PhotoPoint, PhotoPoint> moved, int first = 0, bool backwards = false)
    {
        PhotoPoint[] c = [.. Rendered.Truth.Corners.ToArray().Select(moved)];
        return BlockCorners.FromArray([.. Enumerable.Range(0, 4).Select(i => c[(first + (backwards ? 4 - i : i)) % 4])], 0);
    }

    private static AccuracyReport Measure(SyntheticPhoto photo, IntendedGrid grid, BlockCorners corners, int quality = 95, int exif = 1)
    {
        using Photo read = PhotoReader.Read(photo.ToJpeg(quality, exif), "block.jpg");
        return new BlockAnalyzer().Analyze(read, grid, new AnalysisSettings { GivenCorners = corners with { UncertaintyPx = 0.01 }, CornersExact = true, WithPicture = false }).Report;
    }

    /// <summary>The photo with the pixel at (x, y) taken from where the map says.</summary>
    private static SyntheticPhoto Rearranged(int width, int height, Func<int, int, (int X, int Y)> from)
    {
        var rgb = new byte[3 * width * height];
        for (int y = 0; y < height; y++)
            for (int x = 0; x < width; x++)
            {
                (int fx, int fy) = from(x, y);
                Rendered.Rgb.AsSpan(3 * (fy * Width + fx), 3).CopyTo(rgb.AsSpan(3 * (y * width + x)));
            }
        return Rendered with { Rgb = rgb, WidthPx = width, HeightPx = height };
    }

    /// <summary>Turned by 90 degrees clockwise; the block keeps its own top left, which now lies on the right.</summary>
    [Fact]
    public void PhotoTurnedByAQuarter_GivesTheSameNumbers()
    {
        SyntheticPhoto turned = Rearranged(Height, Width, (x, y) => (y, Height - 1 - x));
        Compare(Upright.Value, Measure(turned, Rendered.Truth.Grid, Corners(p => new PhotoPoint(Height - 1 - p.Y, p.X))));
    }

    /// <summary>Mirrored left to right: the block is another one, whose diagonals lean the other way and whose deviations are mirrored.</summary>
    [Fact]
    public void MirroredPhoto_GivesTheMirroredNumbers()
    {
        SyntheticPhoto mirrored = Rearranged(Width, Height, (x, y) => (Width - 1 - x, y));
        BlockCorners corners = Corners(p => new PhotoPoint(Width - 1 - p.X, p.Y), first: 1, backwards: true);
        CompareMoved(mirrored, corners, Size, p => new BlockPoint(Size.WidthMm - p.Xmm, p.Ymm), angle => -angle);
    }

    [Fact]
    public void PhotoSavedOnceMore_GivesTheSameNumbers()
    {
        SyntheticPhoto opened = Rendered.OfFile(Rendered.ToJpeg(95));
        Compare(Upright.Value, Measure(opened, Rendered.Truth.Grid, Corners(p => p), quality: 90));
    }

    /// <summary>Each pixel made two by two: its centre goes from x to 2x + 1/2.</summary>
    [Fact]
    public void PhotoOfDoubleSize_GivesTheSameNumbers()
    {
        SyntheticPhoto doubled = Rearranged(2 * Width, 2 * Height, (x, y) => (x / 2, y / 2));
        Compare(Upright.Value, Measure(doubled, Rendered.Truth.Grid, Corners(p => new PhotoPoint(2 * p.X + 0.5, 2 * p.Y + 0.5))));
    }

    /// <summary>The corners named from the next one on: the block is turned by a quarter, its width becomes its height.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void CornersNamedFromAnother_GiveTheTurnedNumbers(int first)
    {
        (double w, double h) = (Size.WidthMm, Size.HeightMm);
        BlockSize size = first == 2 ? Size : new BlockSize(h, w);
        // The new top left is the old corner number `first`, clockwise.
        BlockPoint Turned(BlockPoint p) => first switch
        {
            1 => new BlockPoint(p.Ymm, w - p.Xmm),
            2 => new BlockPoint(w - p.Xmm, h - p.Ymm),
            _ => new BlockPoint(h - p.Ymm, p.Xmm),
        };
        CompareMoved(Rendered, Corners(p => p, first), size, Turned, angle => angle + 90 * first);
    }

    /// <summary>The eight cases of EXIF 2.3, tag 0x0112: the file's pixels are stored turned or mirrored, the photo that is seen is one.</summary>
    [Theory]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(7)]
    [InlineData(8)]
    public void PhotoStoredInAnotherOrientation_GivesTheSameNumbers(int exif) =>
        Compare(Upright.Value, Measure(Rendered, Rendered.Truth.Grid, Corners(p => p), exif: exif));

    /// <summary>Measures with a grid and corners in which the block lies moved, and compares line with line and crossing with crossing where they came to lie.</summary>
    private void CompareMoved(SyntheticPhoto photo, BlockCorners corners, BlockSize size, Func<BlockPoint, BlockPoint> moved, Func<double, double> angle)
    {
        var grid = new IntendedGrid(size, Rendered.Truth.Grid.Families.Select(f => new LineFamily(Within(angle(f.AngleDeg)), f.SpacingMm, moved(f.Through))));
        AccuracyReport there = Measure(photo, grid, corners);
        IntendedGrid here = Rendered.Truth.Grid;
        GridLine At(GridLine line) => grid.Lines.Single(l => l.Family == line.Family && Near(Middle(l), moved(Middle(line))));
        var lines = here.Lines.ToDictionary(l => l.Id, l => At(l).Id);
        AccuracyReport back = there with
        {
            Lines = [.. here.Lines.Select(l =>
            {
                GridLine other = At(l);
                LineReport line = there.Lines.Single(r => r.Id == other.Id);
                LineFamily own = here.Families[l.Family], second = grid.Families[l.Family];
                // Whether the moved line runs, and counts its deviation, the same way.
                bool reversed = !Near(other.From, moved(l.From));
                BlockPoint up = moved(new BlockPoint(l.From.Xmm + own.AcrossX, l.From.Ymm + own.AcrossY)), foot = moved(l.From);
                double sign = Math.Sign(second.Across(up) - second.Across(foot));
                return line with
                {
                    Id = l.Id,
                    OffsetMm = Times(line.OffsetMm, sign),
                    AngleDeg = Times(line.AngleDeg, reversed ? -sign : sign),
                    Samples = [.. line.Samples.Select(s => s with { AlongMm = reversed ? l.LengthMm - s.AlongMm : s.AlongMm, DeviationMm = sign * s.DeviationMm }).OrderBy(s => s.AlongMm)],
                    StartOvershootMm = reversed ? line.EndOvershootMm : line.StartOvershootMm,
                    EndOvershootMm = reversed ? line.StartOvershootMm : line.EndOvershootMm,
                };
            })],
            Intersections = [.. here.Nodes.Select(n => there.Intersections.Single(i => Near(new BlockPoint(i.IntendedMm[0], i.IntendedMm[1]), moved(n.Position))) with { Id = n.Id })],
        };
        Assert.Equal(here.Lines.Count, lines.Values.Distinct().Count());
        Compare(Upright.Value, back);
    }

    /// <summary>Every number of both reports, by what it is called; the report is worth comparing only when it gives nearly all of them.</summary>
    private void Compare(AccuracyReport a, AccuracyReport b)
    {
        Assert.Equal(Outcomes.Measured, a.Outcome);
        Assert.True(a.Outcome == b.Outcome, string.Join(' ', b.Reasons));
        List<(string Name, MeasuredValue A, MeasuredValue B)> pairs = [];
        foreach ((LineReport p, LineReport q) in a.Lines.Zip(b.Lines))
        {
            Assert.Equal(p.Id, q.Id);
            Assert.True(p.Status == q.Status, $"{p.Id} {p.Status} {p.Coverage}, {q.Status} {q.Coverage}");
            Add($"{p.Id} offset", p.OffsetMm, q.OffsetMm);
            Add($"{p.Id} angle", p.AngleDeg, q.AngleDeg);
            Add($"{p.Id} total", p.StraightnessTotalMm, q.StraightnessTotalMm);
            Add($"{p.Id} rms", p.StraightnessRmsMm, q.StraightnessRmsMm);
            Add($"{p.Id} start", p.StartOvershootMm, q.StartOvershootMm);
            Add($"{p.Id} end", p.EndOvershootMm, q.EndOvershootMm);
            Add($"{p.Id} stitch", p.StitchLengthMm, q.StitchLengthMm);
            foreach (LineSample s in p.Samples)
            {
                // Of a line that runs the other way the samples lie elsewhere: compared between the two neighbours.
                int i = Enumerable.Range(0, q.Samples.Count).FirstOrDefault(i => q.Samples[i].AlongMm > s.AlongMm - 1e-6, -1);
                if (i < 0 || (i == 0 && q.Samples[0].AlongMm > s.AlongMm + 1e-6)) continue;
                LineSample up = q.Samples[i], down = q.Samples[Math.Max(0, i - 1)];
                if (up.AlongMm - s.AlongMm > 1 || (up.AlongMm - s.AlongMm > 1e-6 && up.AlongMm - down.AlongMm > 1.001)) continue;
                double t = up.AlongMm - down.AlongMm < 1e-9 ? 1 : (s.AlongMm - down.AlongMm) / (up.AlongMm - down.AlongMm);
                Add($"{p.Id} at {s.AlongMm}", new MeasuredValue(s.DeviationMm, s.U), new MeasuredValue(down.DeviationMm + t * (up.DeviationMm - down.DeviationMm), Math.Max(up.U, down.U)));
            }
        }
        foreach ((IntersectionReport p, IntersectionReport q) in a.Intersections.Zip(b.Intersections))
        {
            Add($"{p.Id} radial", p.RadialMm, q.RadialMm);
            Add($"{p.Id} triangle", p.MissTriangleMm, q.MissTriangleMm);
        }
        foreach (var group in pairs.GroupBy(p => p.Name.Split(' ')[1]))
            output.WriteLine($"{group.Key}: {group.Count()} numbers, largest move {group.Max(Move):0.00} of the give or take");
        (string worst, MeasuredValue wa, MeasuredValue wb) = pairs.MaxBy(Move);
        Assert.True(Move((worst, wa, wb)) < 1, $"{worst}: {wa.Value} ± {2 * wa.U} against {wb.Value} ± {2 * wb.U}");
        Assert.True(pairs.Count > 0.8 * a.Lines.Sum(l => l.Samples.Count), $"{pairs.Count} numbers compared");

        void Add(string name, MeasuredValue? x, MeasuredValue? y)
        {
            if (x?.Value is not null && y?.Value is not null) pairs.Add((name, x, y));
        }
        static double Move((string, MeasuredValue A, MeasuredValue B) p) => Math.Abs(p.A.Value!.Value - p.B.Value!.Value) / (2 * Math.Max(p.A.U!.Value, p.B.U!.Value));
    }

    private static MeasuredValue Times(MeasuredValue v, double sign) => v with { Value = sign * v.Value };

    private static BlockPoint Middle(GridLine line) => new((line.From.Xmm + line.To.Xmm) / 2, (line.From.Ymm + line.To.Ymm) / 2);

    private static bool Near(BlockPoint a, BlockPoint b) => a.DistanceTo(b) < 0.01;

    private static double Within(double angleDeg) => angleDeg > 180 ? angleDeg - 360 : angleDeg;
}
