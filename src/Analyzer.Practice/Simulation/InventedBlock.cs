using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;

namespace Analyzer.Practice.Simulation;

/// <summary>Makes the report of a block that nobody sewed, for demos and for checking the statistics. Same seed, same block.</summary>
/// <remarks>
/// A line is offset + turn + autocorrelated wobble + aiming error near crossings + the block's distortion (all parts random for
/// each block), seen through corners that are off by their stated uncertainty and with sample noise.
/// </remarks>
public static class InventedBlock
{
    public const string Remark = "Invented: made by a program, not measured on cloth.";

    private const double PixelsPerMm = 10;

    private const double AimReachMm = 8;

    public static AccuracyReport Make(IntendedGrid grid, Skill skill, int seed, string file = "invented.jpg")
    {
        var normal = new NormalSource(seed);
        double mode = skill.DistortionMm / SmoothWarp.RmsOfUnitModes;
        var distortion = new SmoothWarp(grid.Size.WidthMm, grid.Size.HeightMm, [.. Enumerable.Range(0, SmoothWarp.Modes).Select(_ => mode * normal.Next())]);
        Homography seen = CornerErrors.Shifted(grid.Size.WidthMm, grid.Size.HeightMm, [.. Enumerable.Range(0, 8).Select(_ => skill.CornerUMm * normal.Next())]);
        double cornerClaim = skill.CornerUMm * Math.Exp(skill.ClaimLogSd * normal.Next()), shapeClaim = skill.ShapeUMm * Math.Exp(skill.ClaimLogSd * normal.Next());
        var drawn = grid.Lines.Select(line => Draw(grid, line, skill, distortion, seen, normal)).ToList();
        var byId = drawn.ToDictionary(d => d.Report.Id);
        return new AccuracyReport
        {
            Outcome = "measured",
            Photo = new PhotoInfo(file, 3000, 3000, Hash(grid, skill, seed)),
            Block = new BlockInfo(grid.Size.WidthMm, grid.Size.HeightMm, CornersPx(grid.Size), "found", cornerClaim * PixelsPerMm, PixelsPerMm) { Notes = [Remark] },
            Grid = new GridInfo([.. grid.Families.Select((f, i) => new FamilyInfo(i, f.AngleDeg, f.SpacingMm, [f.Through.Xmm, f.Through.Ymm]))]),
            Lines = [.. drawn.Select(d => d.Report)],
            Intersections = [.. grid.Nodes.Select(node => Cross(grid, node, byId))],
            ErrorBudget = new ErrorBudget
            {
                ShapeUMm = shapeClaim,
                NoiseRmsMm = shapeClaim,
                PlaceUMm = new Dictionary<string, double> { ["corners"] = cornerClaim },
                TotalRmsMm = RootMeanSquare([.. drawn.SelectMany(d => d.Report.Samples).Select(s => s.DeviationMm)]),
            },
            Settings = new Dictionary<string, string> { ["invented"] = Remark },
        };
    }

    private sealed record Drawn(LineReport Report, double[] Deviation, bool Lost);

    private static Drawn Draw(IntendedGrid grid, GridLine line, Skill skill, SmoothWarp distortion, Homography seen, NormalSource normal)
    {
        LineFamily family = grid.Families[line.Family];
        int n = Math.Max(6, (int)Math.Floor(line.LengthMm) + 1);
        double half = line.LengthMm / 2;
        double offset = Of(skill.FamilyOffsetMm, line.Family) + skill.OffsetSdMm * normal.Next();
        double slope = Math.Tan((Of(skill.FamilyAngleDeg, line.Family) + skill.AngleSdDeg * normal.Next()) * Math.PI / 180);
        double amplitude = skill.WobbleMm * Math.Exp(skill.WobbleLogSd * normal.Next() - skill.WobbleLogSd * skill.WobbleLogSd / 2);
        double r = skill.WobbleCorrelation, step = Math.Sqrt(1 - r * r), wobble = normal.Next();
        double[] aims = Aims(grid, line, skill, normal, out double[] nodesAt);
        var along = new double[n];
        var deviation = new double[n];
        int near = 0;
        for (int i = 0; i < n; i++)
        {
            double s = Math.Min(i, line.LengthMm);
            along[i] = s;
            wobble = r * wobble + step * normal.Next();
            while (near + 1 < nodesAt.Length && Math.Abs(nodesAt[near + 1] - s) < Math.Abs(nodesAt[near] - s)) near++;
            double pull = nodesAt.Length == 0 ? 0 : aims[near] * Math.Exp(-Square((nodesAt[near] - s) / AimReachMm) / 2);
            double x = line.From.Xmm + family.AlongX * s, y = line.From.Ymm + family.AlongY * s;
            (double dx, double dy) = distortion.At(x, y);
            (double px, double py) = seen.Map(x, y);
            double moved = (dx + px - x) * family.AcrossX + (dy + py - y) * family.AcrossY;
            deviation[i] = offset + slope * (s - half) + amplitude * wobble + pull + moved + skill.ShapeUMm * normal.Next();
        }
        bool lost = normal.Uniform() < skill.LostLines;
        (double startShift, double endShift) = (Shift(line.From), Shift(line.To));
        double start = -startShift + skill.OvershootMm + skill.OvershootSdMm * normal.Next(), end = endShift + skill.OvershootMm + skill.OvershootSdMm * normal.Next();
        return new Drawn(Describe(line, along, deviation, lost, start, end, skill), deviation, lost);

        double Shift(BlockPoint p)
        {
            (double x, double y) = seen.Map(p.Xmm, p.Ymm);
            return (x - p.Xmm) * family.AlongX + (y - p.Ymm) * family.AlongY;
        }
    }

    private static double[] Aims(IntendedGrid grid, GridLine line, Skill skill, NormalSource normal, out double[] nodesAt)
    {
        LineFamily family = grid.Families[line.Family];
        nodesAt = [.. grid.Nodes.Where(node => node.LineIds.Contains(line.Id)).Select(node => family.Along(node.Position) - family.Along(line.From)).Order()];
        return [.. nodesAt.Select(_ => Of(skill.FamilyAimMm, line.Family) + skill.AimMm * normal.Next())];
    }

    private static LineReport Describe(GridLine line, double[] along, double[] deviation, bool lost, double start, double end, Skill skill)
    {
        var empty = new LineReport
        {
            Id = line.Id,
            Family = line.Family,
            Index = line.Index,
            FromMm = [line.From.Xmm, line.From.Ymm],
            ToMm = [line.To.Xmm, line.To.Ymm],
            Status = "not-found",
        };
        if (lost) return empty;
        Straight straight = Straight.Of(along, deviation, 0, along.Length);
        double shapeU = skill.ShapeUMm / Math.Sqrt(along.Length) * 2, offsetU = Math.Sqrt(shapeU * shapeU + Square(0.8 * skill.CornerUMm));
        double angleShapeU = shapeU / line.LengthMm * Math.Sqrt(12) * 180 / Math.PI, angleU = Math.Sqrt(Square(angleShapeU) + Square(skill.CornerUMm / line.LengthMm * 180 / Math.PI));
        return empty with
        {
            Status = "measured",
            Coverage = 1,
            OffsetMm = new(straight.At(line.LengthMm / 2), offsetU),
            AngleDeg = new(Math.Atan(straight.Slope) * 180 / Math.PI, angleU),
            StraightnessRmsMm = new(straight.Rms, skill.ShapeUMm / 4),
            StraightnessTotalMm = new(straight.Total, 2 * skill.ShapeUMm),
            Samples = [.. along.Select((s, i) => new LineSample(s, Math.Round(deviation[i], 4), skill.ShapeUMm))],
            OffsetShapeUMm = shapeU,
            AngleShapeUDeg = angleShapeU,
            StartOvershootMm = new(start, 0.15),
            EndOvershootMm = new(end, 0.15),
        };
    }

    private static IntersectionReport Cross(IntendedGrid grid, GridNode node, Dictionary<string, Drawn> lines)
    {
        var crossings = new List<Crossing>();
        for (int i = 0; i < node.LineIds.Count; i++)
            for (int j = i + 1; j < node.LineIds.Count; j++)
                if (Cross(grid, node, lines[node.LineIds[i]], lines[node.LineIds[j]]) is { } at)
                    crossings.Add(new Crossing([node.LineIds[i], node.LineIds[j]], at));
        var empty = new IntersectionReport { Id = node.Id, LineIds = node.LineIds, IntendedMm = [node.Position.Xmm, node.Position.Ymm] };
        if (crossings.Count == 0) return empty;
        double x = crossings.Average(c => c.AtMm[0]), y = crossings.Average(c => c.AtMm[1]);
        double miss = crossings.Max(a => crossings.Max(b => Math.Sqrt(Square(a.AtMm[0] - b.AtMm[0]) + Square(a.AtMm[1] - b.AtMm[1]))));
        return empty with
        {
            StitchedMm = [x, y],
            Crossings = crossings,
            RadialMm = new(Math.Sqrt(Square(x - node.Position.Xmm) + Square(y - node.Position.Ymm)), 0.1),
            MissTriangleMm = crossings.Count == 3 ? new(miss, 0.05) : null,
        };
    }

    private static double[]? Cross(IntendedGrid grid, GridNode node, Drawn a, Drawn b)
    {
        if (a.Lost || b.Lost) return null;
        LineFamily fa = grid.Families[a.Report.Family], fb = grid.Families[b.Report.Family];
        double da = At(a), db = At(b), det = fa.AcrossX * fb.AcrossY - fa.AcrossY * fb.AcrossX;
        return [node.Position.Xmm + (da * fb.AcrossY - db * fa.AcrossY) / det, node.Position.Ymm + (fa.AcrossX * db - fb.AcrossX * da) / det];

        double At(Drawn d)
        {
            LineFamily f = grid.Families[d.Report.Family];
            double s = f.Along(node.Position) - f.Along(new BlockPoint(d.Report.FromMm[0], d.Report.FromMm[1]));
            int i = Math.Clamp((int)Math.Floor(s), 0, d.Deviation.Length - 2);
            return d.Deviation[i] + (s - i) * (d.Deviation[i + 1] - d.Deviation[i]);
        }
    }

    private static List<double[]> CornersPx(BlockSize size) =>
        [.. size.Corners().Select(c => new[] { 200 + PixelsPerMm * c.Xmm, 200 + PixelsPerMm * c.Ymm })];

    private static string Hash(IntendedGrid grid, Skill skill, int seed) =>
        Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(
            $"invented {seed} {grid.Size.WidthMm} {grid.Lines.Count} {skill.WobbleMm} {skill.OffsetSdMm}")));

    private static double Of(IReadOnlyList<double> list, int family) => family < list.Count ? list[family] : 0;

    private static double RootMeanSquare(double[] x) => x.Length == 0 ? 0 : Math.Sqrt(x.Sum(v => v * v) / x.Length);

    private static double Square(double v) => v * v;
}
