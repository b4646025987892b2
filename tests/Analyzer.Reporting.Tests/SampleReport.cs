using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using SkiaSharp;

namespace Analyzer.Reporting.Tests;

/// <summary>A report of an 8 inch triangle block that nobody sewed: seeded wobble, one line missing, one unreadable, one seen in part.</summary>
internal static class SampleReport
{
    public static IntendedGrid Grid(double spacingMm = 25.4, string name = "triangle")
    {
        var size = new BlockSize(203.2, 203.2);
        return new IntendedGrid(size, NamedGrids.Families(name, Length.FromMillimetres(spacingMm), size)!);
    }

    public static AccuracyReport Make(IntendedGrid? grid = null, string file = "practice-block-07.jpg", int seed = 7)
    {
        grid ??= Grid();
        var random = new Random(seed);
        var lines = grid.Lines.Select((line, i) => Line(line, i, random)).ToList();
        var byId = lines.ToDictionary(l => l.Id);
        return new AccuracyReport
        {
            Outcome = "measured-with-cautions",
            Reasons = [new Reason("soft", "The photo is a little soft.", "Rest the phone on something and tap the block to focus; short wobble may be underestimated.")],
            Photo = new PhotoInfo(file, 4000, 3000, new string('a', 64)) { TakenOn = "2026-05-14 10:12", Camera = "Invented phone" },
            Block = new BlockInfo(203.2, 203.2, [[612.4, 318.2], [3402.8, 340.1], [3370.5, 2711.9], [640.2, 2690.3]], "found", 1.4, 12.6) { CornerConfidence = "high" },
            Grid = new GridInfo([.. grid.Families.Select((f, i) => new FamilyInfo(i, f.AngleDeg, f.SpacingMm, [f.Through.Xmm, f.Through.Ymm]))]),
            Lines = lines,
            Intersections = [.. grid.Nodes.Select(n => Node(n, byId, random))],
            ErrorBudget = new ErrorBudget
            {
                TotalRmsMm = 0.5,
                ShapeUMm = 0.03,
                PlaceUMm = new Dictionary<string, double> { ["corners"] = 0.11, ["loft"] = 0.05, ["lens"] = 0.04, ["resolution"] = 0.02 },
                Causes =
                [
                    new("placement", 46, 34, 58, 0.34, "The ruler was set down beside the mark."),
                    new("wobble-middle", 21, 15, 28, 0.23, "Steering corrections: waves of 8 to 20 mm, a sway every few stitches."),
                    new("bow", 14, 8, 21, 0.19, "Lines bow: they leave the mark in the middle and come back."),
                    new("wobble-long", 9, 5, 14, 0.15, "Slow drifting while steering."),
                    new("rotation", 6, 2, 11, 0.12, "Lines start on one side of their mark and end on the other."),
                    new("wobble-short", 3, 1, 5, 0.09, "Quick jitters from stitch to stitch."),
                    new("aim", 1, 0, 3, 0.05, "Kinks right at the crossings."),
                    new("distortion", 0, 0, 2, 0.01, "The block lies true."),
                ],
            },
            Quality =
            [
                new("sharpness", 0.21, 0.2, "mm", "fair", "The photo is soft: rest the phone on something and tap the block to focus."),
                new("resolution", 12.6, 8, "px/mm", "good", "Enough pixels on every thread."),
                new("tilt", 6.2, 10, "degrees", "good", "Held nearly level over the block."),
                new("glare", double.NaN, 1, "%", "poor", "Could not be judged."),
            ],
            Settings = new Dictionary<string, string> { ["size"] = "8in", ["grid"] = "triangle:1in", ["corners"] = "auto" },
            Software = new SoftwareInfo("0.1.0"),
            StageTimes = [new("decode", 61), new("rectify", 48), new("trace", 210)],
        };
    }

    public static AccuracyReport Refused(string file = "dark.jpg") => new()
    {
        Outcome = "not-measurable",
        Reasons = [new Reason("blurred", "The photo is too blurred to see the stitches.", "Hold still, tap the block to focus, and use more light.")],
        Photo = new PhotoInfo(file, 800, 600, new string('b', 64)),
        Quality = [new("sharpness", 2.4, 0.2, "mm", "poor", "The photo is soft.")],
        Settings = new Dictionary<string, string> { ["size"] = "8in" },
        Software = new SoftwareInfo("0.1.0"),
    };

    private static LineReport Line(GridLine line, int number, Random random)
    {
        string status = number switch { 4 => "not-found", 11 => "unreadable", 17 => "partial", _ => "measured" };
        var report = new LineReport { Id = line.Id, Family = line.Family, Index = line.Index, FromMm = [line.From.Xmm, line.From.Ymm], ToMm = [line.To.Xmm, line.To.Ymm], Status = status };
        double offset = 0.35 * Normal(random) + (line.Family == 1 ? 0.25 : 0), turn = 0.15 * Normal(random), bow = 0.2 * Normal(random), phase = random.NextDouble() * 6, wave = 0.15 + 0.2 * random.NextDouble(), period = 12 + 20 * random.NextDouble();
        if (status is "not-found" or "unreadable") return report;
        var samples = new List<LineSample>();
        for (double s = 0; s <= line.LengthMm; s++)
        {
            double t = s / line.LengthMm - 0.5;
            if (status == "partial" && t is > -0.1 and < 0.25) continue;
            double d = offset + turn * 2 * t + bow * (1 - 12 * t * t) / 2 + wave * Math.Sin(s * 2 * Math.PI / period + phase) + 0.03 * Normal(random);
            samples.Add(new LineSample(s, d, 0.04));
        }
        return report with
        {
            Coverage = samples.Count / Math.Ceiling(line.LengthMm + 1e-9),
            Samples = samples,
            OffsetMm = new(offset, 0.06),
            AngleDeg = new(Math.Atan(2 * turn / line.LengthMm) * 180 / Math.PI, 0.03),
            StraightnessTotalMm = new(samples.Max(s => s.DeviationMm) - samples.Min(s => s.DeviationMm), 0.05),
            StraightnessRmsMm = new(wave / Math.Sqrt(2), 0.02),
            StitchLengthMm = new(2.35, 0.03),
            Notes = status == "partial" ? ["A print hides the thread for part of the way."] : [],
        };
    }

    private static IntersectionReport Node(GridNode node, Dictionary<string, LineReport> lines, Random random)
    {
        var report = new IntersectionReport { Id = node.Id, LineIds = node.LineIds, IntendedMm = [node.Position.Xmm, node.Position.Ymm] };
        if (node.LineIds.Any(id => lines[id].Samples.Count == 0)) return report;
        var crossings = new List<Crossing>();
        for (int a = 0; a < node.LineIds.Count; a++)
            for (int b = a + 1; b < node.LineIds.Count; b++)
                crossings.Add(new Crossing([node.LineIds[a], node.LineIds[b]], [node.Position.Xmm + 0.4 * Normal(random), node.Position.Ymm + 0.4 * Normal(random)]));
        double x = crossings.Average(c => c.AtMm[0]), y = crossings.Average(c => c.AtMm[1]);
        return report with
        {
            Crossings = crossings,
            StitchedMm = [x, y],
            RadialMm = new(Math.Sqrt(Math.Pow(x - node.Position.Xmm, 2) + Math.Pow(y - node.Position.Ymm, 2)), 0.08),
            MissTriangleMm = crossings.Count == 3 ? new(crossings.Max(p => crossings.Max(q => Math.Sqrt(Math.Pow(p.AtMm[0] - q.AtMm[0], 2) + Math.Pow(p.AtMm[1] - q.AtMm[1], 2)))), 0.1) : null,
        };
    }

    /// <summary>The block as a picture: cloth with a stitch drawn for every second 1.2 mm of thread.</summary>
    public static BlockPicture Picture(AccuracyReport report, double pixelsPerMm = 6)
    {
        const double margin = 8;
        int side = (int)((203.2 + 2 * margin) * pixelsPerMm);
        using SKSurface surface = SKSurface.Create(new SKImageInfo(side, side));
        surface.Canvas.Clear(new SKColor(0x8d, 0x83, 0x76));
        using var cloth = new SKPaint { Color = new SKColor(0xd7, 0xde, 0xd6) };
        surface.Canvas.DrawRect((float)(margin * pixelsPerMm), (float)(margin * pixelsPerMm), (float)(203.2 * pixelsPerMm), (float)(203.2 * pixelsPerMm), cloth);
        using SKPathEffect stitches = SKPathEffect.CreateDash([(float)(1.9 * pixelsPerMm), (float)(0.5 * pixelsPerMm)], 0);
        using var thread = new SKPaint { Color = new SKColor(0x54, 0x39, 0x2e), IsStroke = true, StrokeWidth = (float)(0.4 * pixelsPerMm), IsAntialias = true, PathEffect = stitches };
        foreach (LineReport line in report.Lines)
            foreach (var piece in Pictures.LinePath.Pieces(line, 1))
            {
                using var path = new SKPath();
                path.AddPoly([.. piece.Select(p => new SKPoint((float)((p.X + margin) * pixelsPerMm), (float)((p.Y + margin) * pixelsPerMm)))], false);
                surface.Canvas.DrawPath(path, thread);
            }
        using SKImage image = surface.Snapshot();
        using SKData jpeg = image.Encode(SKEncodedImageFormat.Jpeg, 85);
        return new BlockPicture(jpeg.ToArray(), "image/jpeg", side, side, pixelsPerMm, margin);
    }

    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
