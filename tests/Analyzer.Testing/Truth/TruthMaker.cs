using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Scene;

namespace Analyzer.Testing.Truth;

/// <summary>Traces what was drawn through the camera that drew it.</summary>
internal static class TruthMaker
{
    public static SceneTruth Make(SceneSettings settings, IntendedGrid grid, StitchPlan plan, PlaneDistortion distortion, CameraModel camera)
    {
        BlockPoint[] corners = grid.Size.Corners();
        var cornersPlane = corners.Select(c => distortion.Apply(c.Xmm, c.Ymm)).ToArray();
        PhotoPoint[] cornersPx = [.. cornersPlane.Select(c => camera.Project(c.X, c.Y))];
        (double, double)[] cornersMm = [.. corners.Select(c => (c.Xmm, c.Ymm))];
        Homography blockFromPhoto = Homography.FromFourPoints([.. cornersPx.Select(p => (p.X, p.Y))], cornersMm);
        Homography blockFromPlane = Homography.FromFourPoints(cornersPlane, cornersMm);
        BlockPoint Seen((double X, double Y) p)
        {
            PhotoPoint px = camera.Project(p.X, p.Y);
            (double x, double y) = blockFromPhoto.Map(px.X, px.Y);
            return new BlockPoint(x, y);
        }
        BlockPoint Ideal((double X, double Y) p)
        {
            (double x, double y) = blockFromPlane.Map(p.X, p.Y);
            return new BlockPoint(x, y);
        }
        LineTruth[] lines = [.. plan.Lines.Select(line => LineOf(line, grid, Seen, Ideal, distortion))];
        (double low, double high) = Scales(grid.Size, camera);
        return new SceneTruth
        {
            Seed = settings.Seed,
            Tier = settings.Tier.ToString(),
            Description = settings.Description,
            GridName = settings.GridName,
            WidthPx = settings.Camera.WidthPx,
            HeightPx = settings.Camera.HeightPx,
            Grid = grid,
            Corners = BlockCorners.FromArray(cornersPx, 0),
            PixelsPerMmLowest = low,
            PixelsPerMmHighest = high,
            Lines = lines,
            CardCornersPx = CardCorners(settings, camera),
            ExtraLines = [.. plan.Extra.Select(e => (IReadOnlyList<BlockPoint>)[.. e.Holes.Select(Seen)])],
            Turns = [.. plan.Turns.Select(t =>
            {
                BlockPoint corner = Seen(distortion.Apply(t.Corner.X, t.Corner.Y));
                double cutOff = corner.DistanceTo(Seen(distortion.Apply(t.Apex.X, t.Apex.Y)));
                return new TurnTruth(t.Turn.A.Id, t.Turn.B.Id, corner, t.AngleDeg, cutOff / (1 / Math.Sin(t.AngleDeg * Math.PI / 360) - 1), cutOff);
            })],
            Crossings = CrossingFinder.Find(grid, lines),
        };
    }

    private static LineTruth LineOf(
        StitchedLine line, IntendedGrid grid, Func<(double X, double Y), BlockPoint> seen, Func<(double X, double Y), BlockPoint> ideal, PlaneDistortion distortion)
    {
        GridLine intended = line.Intended!;
        LineFamily family = grid.Families[intended.Family];
        BlockPoint[] holes = line.IsMissing ? [] : [.. line.Holes.Select(seen)], mark = [.. line.Mark.Select(seen)];
        DeviationSample[] samples = Samples(intended, family, holes);
        DeviationSample[] idealSamples = line.IsMissing ? [] : Samples(intended, family, [.. line.Holes.Select(ideal)]);
        DeviationSample[] markSamples = Samples(intended, family, mark);
        double startAlong = family.Along(intended.From);
        return new LineTruth
        {
            Id = intended.Id,
            Family = intended.Family,
            Index = intended.Index,
            IsMissing = line.IsMissing,
            Holes = holes,
            Samples = samples,
            Summary = Summarise(samples, intended.LengthMm),
            IdealSamples = idealSamples,
            IdealSummary = Summarise(idealSamples, intended.LengthMm),
            OvershootStartMm = holes.Length == 0 ? 0 : startAlong - family.Along(holes[0]),
            OvershootEndMm = holes.Length == 0 ? 0 : family.Along(holes[^1]) - startAlong - intended.LengthMm,
            StitchLengthMm = holes.Length < 2 ? 0 : Enumerable.Range(0, holes.Length - 1).Average(i => holes[i].DistanceTo(holes[i + 1])),
            Causes = line.Causes,
            DistortionMeanSquare = DistortionAlong(intended, family, ideal, distortion),
            Mark = mark,
            MarkSamples = markSamples,
            MarkSummary = Summarise(markSamples, intended.LengthMm),
        };
    }

    private static double DistortionAlong(GridLine line, LineFamily family, Func<(double X, double Y), BlockPoint> ideal, PlaneDistortion distortion) =>
        Enumerable.Range(0, 51).Average(i =>
        {
            double t = i / 50.0, x = line.From.Xmm + t * (line.To.Xmm - line.From.Xmm), y = line.From.Ymm + t * (line.To.Ymm - line.From.Ymm);
            return Math.Pow(family.Across(ideal(distortion.Apply(x, y))) - family.Across(line.From), 2);
        });

    private static DeviationSample[] Samples(GridLine line, LineFamily family, BlockPoint[] path)
    {
        if (path.Length < 2) return [];
        double start = family.Along(line.From), zero = family.Across(line.From);
        double[] along = [.. path.Select(p => family.Along(p) - start)], across = [.. path.Select(p => family.Across(p) - zero)];
        var samples = new List<DeviationSample>();
        for (double s = 0; s <= line.LengthMm + 1e-9; s += 1)
        {
            if (s < along[0] || s > along[^1]) continue;
            samples.Add(new DeviationSample(s, Interpolate(along, across, s)));
        }
        return [.. samples];
    }

    /// <summary>Linear interpolation in a rising table.</summary>
    internal static double Interpolate(double[] x, double[] y, double at)
    {
        int i = Array.BinarySearch(x, at);
        if (i >= 0) return y[i];
        i = Math.Clamp(~i - 1, 0, x.Length - 2);
        return y[i] + (at - x[i]) / (x[i + 1] - x[i]) * (y[i + 1] - y[i]);
    }

    internal static LineSummary Summarise(IReadOnlyList<DeviationSample> samples, double lengthMm)
    {
        if (samples.Count < 3) return new LineSummary();
        double ms = samples.Average(p => p.AlongMm), md = samples.Average(p => p.DeviationMm);
        double slope = samples.Sum(p => (p.AlongMm - ms) * (p.DeviationMm - md)) / samples.Sum(p => (p.AlongMm - ms) * (p.AlongMm - ms));
        // Distances normal to the reference line: the cosine of its small angle.
        double cos = 1 / Math.Sqrt(1 + slope * slope);
        double[] rest = [.. samples.Select(p => (p.DeviationMm - md - slope * (p.AlongMm - ms)) * cos)];
        return new LineSummary
        {
            OffsetMm = md + slope * (lengthMm / 2 - ms),
            AngleDeg = Math.Atan(slope) * 180 / Math.PI,
            StraightnessTotalMm = rest.Max() - rest.Min(),
            StraightnessRmsMm = Math.Sqrt(rest.Average(r => r * r)),
        };
    }

    private static PhotoPoint[] CardCorners(SceneSettings settings, CameraModel camera)
    {
        if (!settings.Table.Clutter.Contains(Clutter.Card)) return [];
        (double cx, double cy, double turn) = ClutterMaker.CardPlace(settings);
        (double s, double c) = Math.SinCos(turn);
        double a = ClutterMaker.CardWidthMm / 2 * settings.Table.CardScale, b = ClutterMaker.CardHeightMm / 2 * settings.Table.CardScale;
        return [.. new[] { (-a, -b), (a, -b), (a, b), (-a, b) }.Select(p => camera.Project(cx + c * p.Item1 - s * p.Item2, cy + s * p.Item1 + c * p.Item2))];
    }

    private static (double Low, double High) Scales(BlockSize size, CameraModel camera)
    {
        double low = double.MaxValue, high = 0;
        for (int i = 0; i <= 4; i++)
        {
            for (int j = 0; j <= 4; j++)
            {
                double x = i * size.WidthMm / 4, y = j * size.HeightMm / 4;
                PhotoPoint p = camera.Project(x, y);
                double sx = camera.Project(x + 0.5, y).DistanceTo(p) * 2, sy = camera.Project(x, y + 0.5).DistanceTo(p) * 2;
                low = Math.Min(low, Math.Min(sx, sy));
                high = Math.Max(high, Math.Max(sx, sy));
            }
        }
        return (low, high);
    }
}
